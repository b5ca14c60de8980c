"""Reading a fault script: values, or every mistake at once."""

from __future__ import annotations

from datetime import datetime

import pytest

from controller.core.errors import BadFaultScriptError
from controller.dry_run.fault_script import KINDS, read_fault_script
from controller.dry_run.faults import ClockWrong, HoldAt, PowerOut


def _complaints(text: str) -> list[str]:
    with pytest.raises(BadFaultScriptError) as caught:
        read_fault_script(text.encode(), "f.toml")
    return str(caught.value).splitlines()


def test_times_are_local_or_instants_and_toml_dates_are_welcome() -> None:
    """Three ways to write a time, one meaning each."""
    script = read_fault_script(
        b"""
        [[faults]]
        kind = "power_out"
        from = "2026-07-12T13:00"
        until = 2026-07-12T16:30:00
        clock_unknown_for = "3m"
        [[faults]]
        kind = "clock_wrong"
        from = "2026-07-13T00:00:00Z"
        until = 2026-07-13T01:00:00Z
        by = "-1h30m"
        [[faults]]
        kind = "hold"
        at = "2026-07-13T08:00"
        load = "pump"
        order = "1m on, 4m off"
        for = "20m"
        """,
        "f.toml",
    )
    power_out, clock_wrong, hold = script.faults
    assert isinstance(power_out, PowerOut)
    assert power_out.from_ == datetime(2026, 7, 12, 13)  # noqa: DTZ001 - local is meant
    assert power_out.until == datetime(2026, 7, 12, 16, 30)  # noqa: DTZ001
    assert power_out.clock_unknown_for == 180_000
    assert isinstance(clock_wrong, ClockWrong)
    assert (clock_wrong.from_, clock_wrong.until) == (1_783_900_800_000, 1_783_904_400_000)
    assert clock_wrong.by == -5_400_000
    assert isinstance(hold, HoldAt)
    assert str(hold.order) == "1m on, 4m off"


def test_every_mistake_is_told_at_once() -> None:
    """Three faults, five mistakes, five lines."""
    assert _complaints(
        """
        [[faults]]
        kind = "power_uot"
        [[faults]]
        kind = "pump_fails"
        lood = "pump"
        from = "yesterday"
        until = "2026-07-12T16:30"
        """
    ) == [
        f"f.toml: faults.0: kind 'power_uot' is none of {', '.join(KINDS)} "
        "(did you mean power_out?)",
        "f.toml: faults.1.from: 'yesterday' is not a time: write it like 2026-07-12T13:00 (the "
        "site's local time) or 2026-07-12T11:00:00Z",
        "f.toml: faults.1.load: is missing; write load = …",
        "f.toml: faults.1.lood: there is no such key; there are from, until, kind, load "
        "(did you mean load?)",
    ]


def test_a_file_of_something_else_is_told_what_a_script_is() -> None:
    """A plan, say, named in a script's place: each of its keys, and what would be right."""
    assert _complaints("format = 1") == [
        "f.toml: faults: is missing; each fault is a table [[faults]] with a kind, like kind = "
        '"power_out"',
        "f.toml: format: there is no such key; there is only faults",
    ]


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "the file is empty"),
        (b"\x00", "NUL"),
        (b"\xff\xfe[\x00", "UTF-16"),
        (b"faults = " + b"[" * 100_000, "more than 16 deep; a fault script never needs that"),
        (b"a" + b".a" * 1_000 + b" = 1", "more than 16 deep"),
        (b"a = 1\n" * 40_000, "more than 60,000 words and signs"),
        (b"faults = 3", "a list of tables"),
        (b"faults = [1, 2]", "a table with a kind is wanted"),
        (b"[[faults]]\nkind = 4", "kind 4 is none of"),
        (b"fault = []", "there is no such key"),
        (b"[[faults]]\nkind='stop'\nat=0001-01-01T00:00:00Z", "outside of 1970"),
        (b"[[faults]]\nkind='stop'\nat='9999-12-31T00:00:00Z'", "outside of 1970"),
        (b"[[faults]]\nkind='stop'\nat=9999-12-31T00:00:00", "outside of 1970"),
        (b"[[faults]]\nkind='stop'\nat=12:30:00", "is not a time"),
        (b"x = " + b"9" * 5000, "cannot be read"),
        (b"a" * 300_000, "bytes"),
    ],
)
def test_hostile_files_are_refused_in_words(data: bytes, says: str) -> None:
    """Whatever the bytes, the answer is a refusal that says why."""
    with pytest.raises(BadFaultScriptError) as caught:
        read_fault_script(data, "f.toml")
    assert says in str(caught.value)


@pytest.mark.parametrize(
    ("data", "told"),
    [
        pytest.param(
            "[[faults]]".encode("utf-16"),
            "the file is UTF-16 text; a fault script is UTF-8 text; save the file as UTF-8 (most "
            "editors ask for the encoding under Save as)",
            id="another encoding",
        ),
        pytest.param(
            "[[faults]]".encode("utf-8-sig"),
            "the file begins with a byte order mark (BOM, bytes EF BB BF); a fault script is UTF-8 "
            'text without one; save the file as "UTF-8" and not as "UTF-8 with BOM"',
            id="with a mark",
        ),
        pytest.param(
            b"\x00",
            "byte 0 of the file (counted from 0) is NUL, which no text has; the file is damaged, "
            "or is no fault script; delete the character, or take a good copy of the file",
            id="a NUL",
        ),
        pytest.param(
            b"#" * 262_145,
            "the file has more than 262,144 bytes, the most that a fault script may have; is this "
            "the right file? A fault script of a hundred faults takes about 10,000 bytes",
            id="too large",
        ),
        *(
            pytest.param(
                blank,
                "the file is empty; a fault script has a table [[faults]] for each fault; write "
                'one with a kind, like kind = "power_out"',
                id=id_,
            )
            for blank, id_ in [(b"", "empty"), (b" \n", "blank"), (b"\xc2\xa0\n", "hard blank")]
        ),
    ],
)
def test_what_is_no_text_is_said_of_a_fault_script(data: bytes, told: str) -> None:
    """It is read as a plan is, and never called one."""
    with pytest.raises(BadFaultScriptError) as caught:
        read_fault_script(data, "f.toml")
    assert str(caught.value) == f"f.toml: {told}"
