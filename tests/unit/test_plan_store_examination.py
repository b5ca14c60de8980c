"""An examination's way through JSON, and what it is asked."""

from __future__ import annotations

import json

import pytest

from controller.core.findings import Finding
from controller.shell.plan_store.examination import Examination, LoadFigures, TrialRun

BROKEN = Finding("error", "loads.pump.limits.longest_dry_gap", "dry for 2 h", "shorten", 31)
NOTE = Finding("note", "site", "fog", "none")
FIGURES = LoadFigures("pump", "pump", 41, 37_419_000, 2_700_000, 1_784_586_546_000)
ALWAYS_ON = LoadFigures("fan", "fan", 0, 86_400_000, None, None)
RUN = TrialRun("next days", 5, 9, (FIGURES, ALWAYS_ON), (BROKEN, NOTE), "No weather file.")
HOTTEST = RUN._replace(name="hottest day", findings=(BROKEN._replace(message="dry for 3 h"),))
FOUND = Examination((NOTE,), (RUN, HOTTEST))


def test_an_examination_passes_through_json_unchanged() -> None:
    """What the process of its own found is what the daemon is told."""
    assert Examination.from_json(json.loads(json.dumps(FOUND.as_json()))) == FOUND


def test_a_limit_that_both_runs_broke_is_told_once() -> None:
    """As the first run broke it; and a note is no broken limit."""
    assert FOUND.broken_limits == (BROKEN,)


def test_an_error_makes_a_plan_unfit_and_a_broken_limit_does_not() -> None:
    """Whether a limit may be broken is for its grower to say."""
    assert FOUND.is_fit
    assert not Examination((NOTE, BROKEN)).is_fit


@pytest.mark.parametrize(
    "value",
    [
        {},  # nothing
        {"findings": [], "runs": [{"name": "next days"}]},  # half of it
        {"findings": [{"level": "error"}], "runs": []},
        {"findings": [{**NOTE.as_json(), "level": "fatal"}], "runs": []},  # no such level
        {"findings": 1, "runs": []},
    ],
)
def test_json_of_another_shape_is_refused(value: dict[str, object]) -> None:
    """Whatever a broken process may say, it is no examination."""
    with pytest.raises((KeyError, TypeError, ValueError)):
        Examination.from_json(value)
