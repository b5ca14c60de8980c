"""Which clocks are believed, and for how long."""

from __future__ import annotations

from pathlib import Path

import pytest

from controller.core.units import parse_rfc3339
from controller.shell.clock.trust import (
    RELEASED,
    ClockTrust,
    RealTimeClock,
    ServiceSynchronised,
    TimeFolders,
    TrustSource,
    board_sources,
    kernel_is_synchronised,
    vouched,
)

NOW = parse_rfc3339("2027-07-12T13:00:00Z")


def never(now: int) -> str | None:
    """A source that believes nothing."""
    return None


def trust(*sources: TrustSource, note: Path | None = None, boot: str = "boot-1") -> ClockTrust:
    """The trust by these sources."""
    return ClockTrust(sources, note=note, kernel_boot=boot)


def test_no_source_no_trust() -> None:
    """A clock that nobody speaks for is not believed."""
    clock = trust(never)
    assert not clock.look(NOW)
    assert not clock.is_trusted


def test_the_first_source_that_speaks_gives_the_reason() -> None:
    """The reason is kept for the journal."""
    clock = trust(never, vouched)
    assert clock.look(NOW)
    assert clock.reason == "it is taken to be right, as asked"


def test_what_is_believed_stays_believed() -> None:
    """A lost network does not take the plan away."""
    answers = ["the kernel says so", None]

    def says(now: int) -> str | None:
        return answers.pop(0)

    clock = trust(says)
    assert clock.look(NOW)
    assert not clock.look(NOW)
    assert clock.is_trusted


def test_trust_outlives_the_process_and_not_the_boot(tmp_path: Path) -> None:
    """A restarted daemon goes on with the plan at once; a booted board asks anew."""
    note = tmp_path / "trust"
    trust(vouched, note=note).look(NOW)
    assert trust(never, note=note).is_trusted
    assert not trust(never, note=note, boot="boot-2").is_trusted


@pytest.mark.parametrize(
    "data",
    [
        pytest.param(b"", id="nothing was written when the power went"),
        pytest.param(b"boot-1\n", id="half of it was written"),
        pytest.param(b"boot-1\n \n", id="an empty reason"),
        pytest.param(b"\xff\xfe\0" * 1000, id="something else altogether"),
    ],
)
def test_a_damaged_note_is_no_trust(tmp_path: Path, data: bytes) -> None:
    """Only a whole note counts."""
    note = tmp_path / "trust"
    note.write_bytes(data)
    assert not trust(never, note=note).is_trusted


def test_a_person_vouches(tmp_path: Path) -> None:
    """The user's word is as good as a time service, and is remembered with the name."""
    clock = trust(never, note=tmp_path / "trust")
    clock.vouch("someone")
    assert trust(never, note=tmp_path / "trust").reason == "someone said that it is right"


def test_a_note_that_cannot_be_written_is_done_without(tmp_path: Path) -> None:
    """Trust does not hang on a folder."""
    clock = trust(vouched, note=tmp_path / "missing" / "trust")
    assert clock.look(NOW)
    clock.vouch("someone")
    assert clock.is_trusted


def test_the_time_service_s_flag_counts(tmp_path: Path) -> None:
    """systemd-timesyncd(8) touches it at each synchronisation."""
    flag = tmp_path / "synchronized"
    source = ServiceSynchronised(flag)
    assert source(NOW) is None
    flag.touch()
    assert source(NOW) == "the time service has set it"


def battery_clock(folder: Path, *, name: str, hctosys: str, shows: str) -> None:
    """A battery clock's folder in sysfs."""
    (folder / name).mkdir()
    (folder / name / "hctosys").write_text(hctosys)
    (folder / name / "since_epoch").write_text(shows)


def seconds(instant: int) -> str:
    """As since_epoch shows an instant."""
    return f"{instant // 1000}\n"


@pytest.mark.parametrize(
    ("hctosys", "shows", "now", "is_believed"),
    [
        pytest.param("1\n", seconds(NOW), NOW, True, id="the kernel took the time from it"),
        pytest.param("1\n", seconds(NOW - 60_000), NOW, True, id="it is a minute slow"),
        pytest.param("1\n", seconds(NOW - 61_000), NOW, False, id="it shows something else"),
        pytest.param(
            "1\n", "978307200\n", NOW, False, id="it was reset, and the clock set by hand"
        ),
        pytest.param("0\n", seconds(NOW), NOW, False, id="a battery clock that was not asked"),
        pytest.param("1\n", seconds(RELEASED - 1), RELEASED - 1, False, id="its battery is empty"),
        pytest.param("1\n", seconds(RELEASED), RELEASED, True, id="the first moment that can be"),
        pytest.param("", seconds(NOW), NOW, False, id="an empty file"),
        pytest.param("1\n", "no number", NOW, False, id="no time in it"),
        pytest.param("1\n", "9" * 5000, NOW, False, id="no time that could be"),
    ],
)
def test_a_battery_clock_counts_if_it_was_not_reset(
    tmp_path: Path, hctosys: str, shows: str, now: int, is_believed: bool
) -> None:
    """The kernel's ABI (sysfs-class-rtc): hctosys is 1 where it set the time of day, and
    since_epoch what it shows, in seconds."""
    battery_clock(tmp_path, name="rtc0", hctosys=hctosys, shows=shows)
    assert (RealTimeClock(tmp_path, not_before=0)(now) is not None) is is_believed


def test_without_a_battery_clock_there_is_none_to_believe(tmp_path: Path) -> None:
    """Most boards have none."""
    assert RealTimeClock(tmp_path, not_before=0)(NOW) is None


def test_a_battery_clock_before_the_journal_s_last_entry_is_none(tmp_path: Path) -> None:
    """What has happened cannot lie in the future."""
    battery_clock(tmp_path, name="rtc0", hctosys="1\n", shows=seconds(NOW))
    source = RealTimeClock(tmp_path, not_before=NOW)
    assert source(NOW - 1) is None
    assert source(NOW) is not None


def test_a_battery_clock_that_cannot_be_read_is_passed_over(tmp_path: Path) -> None:
    """The next one is asked."""
    (tmp_path / "rtc0" / "hctosys").mkdir(parents=True)
    battery_clock(tmp_path, name="rtc1", hctosys="1\n", shows=seconds(NOW))
    assert RealTimeClock(tmp_path, not_before=0)(NOW) is not None


def test_the_kernel_can_be_asked() -> None:
    """adjtimex(2) answers on every machine, whatever it says of this one."""
    assert kernel_is_synchronised(NOW) in {None, "the kernel says that it is synchronised"}


def test_a_board_asks_kernel_service_and_battery(tmp_path: Path) -> None:
    """Each of the three is among the sources."""
    folders = TimeFolders(synchronised=tmp_path / "synchronized", rtc=tmp_path)
    kernel, service, battery = board_sources(folders, not_before=0)
    assert kernel is kernel_is_synchronised
    assert service(NOW) is battery(NOW) is None
