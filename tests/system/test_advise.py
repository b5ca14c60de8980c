"""`rootclock advise` as typed: the table, the lines to paste, JSON, picture, exit codes."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from controller.cli.main import main
from controller.core.plan_text.reading import read_plan
from tests.readme import ROOT
from tests.typical_years import GREENSBORO

EXAMPLE = ROOT / "controller" / "examples" / "heat-wave.toml"
WEATHER = str(GREENSBORO.path)
# Two days of July, and few plants: the figures of a summer are no other kind of figures.
QUICK = ("--weather", WEATHER, "--from", "2027-07-10", "--days", "2", "--samples", "10")


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    """A command line's exit code and what it wrote."""
    code = main(["advise", *words])
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def usage_error(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """What is said of a command line that is refused as such."""
    with pytest.raises(SystemExit) as caught:
        main(["advise", *words])
    assert caught.value.code == 2
    return capsys.readouterr().err


def pasted(text: str, advised: str) -> str:
    """The plan with the advised spans in the place of its own and without its variants."""
    head = text.split("[[loads.pump.spans]]")[0]
    tail = text.split("[loads.pump.limits]")[1]
    return f"{head}{advised}\n\n[loads.pump.limits]{tail}"


def test_what_is_pasted_keeps_the_reserve_in_a_dry_run(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """The lines of --json, put into the plan, and the same days carried out by dry-run."""
    code, out, err = run(capsys, str(EXAMPLE), *QUICK, "--json", "--try", "15m on, 15m off")
    assert (code, err) == (0, "")
    told = json.loads(out)
    assert told["currency"] == "USD"
    advice: dict[str, Any] = told["loads"]["pump"]
    row = advice["rows"][advice["chosen"]]
    assert advice["rows"][0]["origin"] == "present"
    assert (
        advice["rows"][-1] | {"origin": "tried", "cycle": "15m on, 15m off"} == advice["rows"][-1]
    )
    assert row["pump_hours_a_day"] < advice["rows"][0]["pump_hours_a_day"]
    plan = tmp_path / "plan.toml"
    plan.write_text(pasted(EXAMPLE.read_text(encoding="utf-8"), advice["toml"]), encoding="utf-8")
    read = read_plan(plan.read_bytes(), "plan.toml").plan
    assert len(read.loads["pump"].spans) == 2
    words = ["dry-run", str(plan), *QUICK[:-2], "--json"]
    assert main(words) == 0
    done = json.loads(capsys.readouterr().out)
    whole = advice["chosen_through_the_period"]
    on_s = done["loads"]["pump"]["on_s"]
    assert on_s / 3600 / 2 == pytest.approx(whole["pump_hours_a_day"])
    for name, stand in whole["stands"].items():
        assert stand["left_share"][1] >= advice["reserves"][name] - 1e-9


def test_the_same_seed_writes_the_same_bytes(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Text and picture; another seed draws other plants. The air is the plan's typical day."""
    outputs = []
    for number, seed in enumerate(("1", "1", "7")):
        picture = tmp_path / f"{number}.svg"
        code, out, err = run(
            capsys, str(EXAMPLE), *QUICK[2:], "--seed", seed, "--picture", str(picture)
        )
        assert (code, err) == (0, "")
        outputs.append((out, picture.read_bytes()))
    assert outputs[0] == outputs[1]
    assert outputs[0] != outputs[2]
    assert b"<svg" in outputs[0][1]


def test_nothing_that_fits_is_exit_code_1_with_the_reason(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """A drip that is thinner than what plants drink; the table is told all the same."""
    text = EXAMPLE.read_text(encoding="utf-8")
    plan = tmp_path / "thin.toml"
    plan.write_text(
        text.replace("age_days = 35", "age_days = 35\ndrip_ml_per_min = 0.1"), encoding="utf-8"
    )
    code, out, _ = run(capsys, str(plan), *QUICK)
    told = " ".join(out.split())
    assert code == 1
    assert "Nothing within the bounds of pump keeps the reserve of likely roots." in told
    assert "flow: a plant of heads drinks" in told
    assert "[[loads.pump.spans]]" not in out


def test_errors_say_what_is_missing(capsys: pytest.CaptureFixture[str]) -> None:
    """On standard error, with exit code 1, and nothing on standard output."""
    porch = str(ROOT / "controller" / "examples" / "porch.toml")
    for words, part in (
        ((porch, "--weather", WEATHER), "the plan has no stand"),
        ((str(EXAMPLE), "--load", "pmup", "--weather", WEATHER), "did you mean pump?"),
        ((str(EXAMPLE),), "give --weather FILE, or --from"),
        ((str(EXAMPLE), *QUICK, "--try", "2h on, 1h off"), "longest_on"),
        ((str(EXAMPLE), *QUICK, *["--try", "5m on, 5m off"] * 21), "--try was given 21 times"),
    ):
        code, out, err = run(capsys, *words)
        assert (code, out) == (1, "")
        assert part in err
        assert err.count("\n") == 1


def test_wrong_options_are_usage_errors(capsys: pytest.CaptureFixture[str]) -> None:
    """A cycle that is none, a seed that is none, samples beyond what there may be."""
    assert "15 minutes" in usage_error(capsys, str(EXAMPLE), "--try", "15 minutes")
    assert "from 0 to 1000000000" in usage_error(capsys, str(EXAMPLE), "--seed", "-1")
    assert "from 1 to 10000" in usage_error(capsys, str(EXAMPLE), "--samples", "10001")


def test_a_break_from_the_keyboard_ends_it_cleanly(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One line, exit code 130, and no picture of half the work."""
    from controller.advice import trial

    def broken_off(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(trial, "run", broken_off)
    picture = tmp_path / "a.svg"
    code, out, err = run(capsys, str(EXAMPLE), *QUICK, "--picture", str(picture))
    assert (code, out, err) == (130, "", "rootclock: interrupted\n")
    assert not picture.exists()
