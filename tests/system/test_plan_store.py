"""The plan store as the daemon uses it: real files, and where it matters a real examiner.

The examiner's judgement is made in this process by most tests: a Python of its own for each
takes 0.3 s, and tests/system/test_plan_store_examiner.py has the two agree.
"""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable, Coroutine
from contextlib import aclosing
from pathlib import Path
from typing import Any, TypeVar

import pytest

from controller.cli.judgement import Task, judge
from controller.core.errors import (
    BadRequestError,
    BusyError,
    LimitBrokenError,
    PlanConflictError,
    PlanRefusedError,
)
from controller.core.units import parse_rfc3339
from controller.shell.examples import example_text
from controller.shell.plan_file import write_plan_file
from controller.shell.plan_store import watch
from controller.shell.plan_store.difference import difference_of
from controller.shell.plan_store.examination import Examination
from controller.shell.plan_store.examiner import examine
from controller.shell.plan_store.revision import How, sha256_of
from controller.shell.plan_store.store import PROPOSALS_MAX, Examiner, PlanStore
from controller.shell.plan_store.watch import hand_edits

NOW = parse_rfc3339("2026-07-01T09:30:00Z")
PORCH = example_text("porch").encode()
WARMER = PORCH.replace(b"15m on, 45m off", b"15m on, 30m off")
GREENHOUSE = example_text("greenhouse").encode()
BREAKS_A_LIMIT = PORCH.replace(b"15m on, 45m off", b"15m on, 1h off")
NO_PLAN = b"format = 2\n"

T = TypeVar("T")


async def judge_here(data: bytes, *, source: str, now: int) -> Examination:
    """What the examiner's process does, in this one."""
    found = judge(data, Task(source, now, 1))
    if not found.is_fit:
        raise PlanRefusedError(source, found.findings)
    return found


def write(folder: Path, data: bytes) -> Path:
    """The plan file, written by its grower."""
    path = folder / "plan.toml"
    path.write_bytes(data)
    return path


def begun(folder: Path, data: bytes = PORCH, examiner: Examiner = judge_here) -> PlanStore:
    """A store whose first revision is this plan."""
    store = PlanStore(write(folder, data), folder / "state", examiner=examiner)
    store.start(NOW)
    return store


def run(deed: Coroutine[Any, Any, T]) -> T:
    """Does what takes time."""
    return asyncio.run(deed)


def test_the_first_start_takes_the_plan_file(tmp_path: Path) -> None:
    """As revision 1; nothing is written until `keep`, which comes when the relays are set."""
    path = write(tmp_path, PORCH)
    store = PlanStore(path, tmp_path / "state")
    taken = store.start(NOW)
    assert (taken.is_new, taken.is_news, taken.refused, taken.remarks) == (True, True, None, ())
    assert taken.revision == (
        1, NOW, How.FIRST_START, "", sha256_of(PORCH), sha256_of(PORCH),
    )  # fmt: skip
    assert taken.sentence == "plan revision 1 is in force, at the first start"
    assert list(taken.prepared.plan.loads) == ["pump"]
    assert taken.prepared.schedule.plan is taken.prepared.plan
    safe_before = store.is_safe
    assert list((tmp_path / "state").iterdir()) == []
    assert run(store.keep()) == ()
    assert (safe_before, store.is_safe) == (False, True)
    assert sorted(item.name for item in (tmp_path / "state/revisions").iterdir()) == [
        "000001.toml",
        "index.jsonl",
    ]


def test_a_start_with_the_same_plan_makes_no_revision(tmp_path: Path) -> None:
    """However often the board is switched on."""
    run(begun(tmp_path).keep())
    store = PlanStore(tmp_path / "plan.toml", tmp_path / "state")
    taken = store.start(NOW + 1)
    assert (taken.is_new, taken.is_news, taken.revision.taken) == (False, False, NOW)
    assert [one.number for one in store.revisions()] == [1]


def test_a_plan_that_was_edited_while_nothing_ran_is_taken_at_the_start(tmp_path: Path) -> None:
    """It is the newer one."""
    run(begun(tmp_path).keep())
    taken = begun_again(tmp_path, WARMER)
    assert (taken.in_force.number, taken.in_force.how) == (2, How.CHANGED_AT_START)


def begun_again(folder: Path, data: bytes) -> PlanStore:
    """A store that starts over an earlier one's folder, with this in the plan file."""
    store = PlanStore(write(folder, data), folder / "state", examiner=judge_here)
    store.start(NOW + 1)
    return store


def test_a_bad_plan_at_the_start_leaves_the_last_good_one_running(tmp_path: Path) -> None:
    """It is told what is wrong, and what runs; mended, it is taken."""
    run(begun(tmp_path).keep())
    store = begun_again(tmp_path, NO_PLAN)
    assert isinstance(store.refused, PlanRefusedError)
    assert store.in_force.number == 1
    assert run(store.text_of(1)).encode() == PORCH
    write(tmp_path, WARMER)
    taken = run(store.reload(now=NOW + 2))
    assert (taken.is_new, taken.refused, taken.revision.how) == (True, None, How.HAND_EDIT)


def test_a_bad_plan_at_the_very_first_start_is_refused(tmp_path: Path) -> None:
    """There is nothing else to run; all of its errors are told."""
    with pytest.raises(PlanRefusedError) as caught:
        begun(tmp_path, NO_PLAN)
    assert caught.value.source == str(tmp_path / "plan.toml")


# Proposals


def test_a_proposal_comes_into_force_and_into_the_file(tmp_path: Path) -> None:
    """And into the history, with how, why and when; examined in a process of its own."""
    store = begun(tmp_path, examiner=examine)
    taken = run(store.take(GREENHOUSE, now=NOW + 1, note="two more rows", based_on=1))
    assert (taken.is_new, taken.refused, taken.remarks) == (True, None, ())
    assert taken.sentence == "plan revision 2 is in force, proposed (two more rows)"
    assert taken.revision.taken == NOW + 1
    assert taken.examination is not None
    assert [run_.name for run_ in taken.examination.runs] == ["next days", "hottest day"]
    assert (tmp_path / "plan.toml").read_bytes() == GREENHOUSE
    assert store.in_force == taken.revision
    assert store.is_safe
    assert not run(store.reload(now=NOW + 2)).is_news  # our own write is no edit by hand


def test_a_proposal_of_what_runs_already_is_no_revision(tmp_path: Path) -> None:
    """It changes nothing, and is examined all the same."""
    store = begun(tmp_path)
    taken = run(store.take(PORCH, now=NOW + 1))
    assert (taken.is_new, taken.is_news, taken.revision.number) == (False, False, 1)


def test_a_proposal_with_errors_changes_nothing(tmp_path: Path) -> None:
    """It is not written anywhere."""
    store = begun(tmp_path)
    with pytest.raises(PlanRefusedError) as caught:
        run(store.take(NO_PLAN, now=NOW + 1))
    assert caught.value.source == "proposed plan"
    assert (tmp_path / "plan.toml").read_bytes() == PORCH
    assert (store.in_force.number, store.refused) == (1, None)


def test_a_proposal_that_breaks_its_own_limit_needs_a_reason(tmp_path: Path) -> None:
    """Without a note it is refused with what it breaks; with one it runs."""
    store = begun(tmp_path)
    with pytest.raises(LimitBrokenError) as caught:
        run(store.take(BREAKS_A_LIMIT, now=NOW + 1))
    assert [one.where for one in caught.value.findings] == ["loads.pump.limits.longest_dry_gap"]
    assert str(caught.value).startswith(
        "on paper this plan breaks limits that it states itself "
        "(loads.pump.limits.longest_dry_gap: dry for 1 h, "
    )
    assert str(caught.value).endswith("or say in a note why it shall run all the same")
    assert store.in_force.number == 1
    taken = run(store.take(BREAKS_A_LIMIT, now=NOW + 1, note="seedlings are moved out"))
    assert taken.is_new
    assert taken.examination is not None
    assert len(taken.examination.broken_limits) == 1


def test_of_two_people_who_edit_the_second_is_told(tmp_path: Path) -> None:
    """Their plan was made from one that is not in force any more; nothing is overwritten."""
    store = begun(tmp_path)
    run(store.take(WARMER, now=NOW + 1, based_on=1))
    with pytest.raises(PlanConflictError) as caught:
        run(store.take(GREENHOUSE, now=NOW + 2, based_on=1))
    assert str(caught.value) == (
        "your plan was made from revision 1, and by now revision 2 is in force, proposed: look at "
        "what that changed, then send yours again"
    )
    assert (tmp_path / "plan.toml").read_bytes() == WARMER


def test_a_proposal_does_not_overwrite_an_edit_that_nobody_has_looked_at(tmp_path: Path) -> None:
    """The grower saved the file while the proposal was examined."""
    store = begun(tmp_path)
    write(tmp_path, WARMER)
    with pytest.raises(PlanConflictError, match="was edited by hand just now"):
        run(store.take(GREENHOUSE, now=NOW + 1, based_on=1))
    assert (tmp_path / "plan.toml").read_bytes() == WARMER
    assert run(store.reload(now=NOW + 2)).revision.number == 2


def test_what_a_grower_has_half_written_is_kept_when_a_proposal_replaces_it(
    tmp_path: Path,
) -> None:
    """The refused edit is laid aside, and told where."""
    store = begun(tmp_path)
    write(tmp_path, NO_PLAN)
    run(store.reload(now=NOW + 1))
    taken = run(store.take(WARMER, now=NOW + 2))
    aside = tmp_path / "state" / "refused-plan.toml"
    assert taken.remarks == (f"what was refused of the file before is kept in {aside}",)
    assert aside.read_bytes() == NO_PLAN
    assert (taken.is_new, taken.refused) == (True, None)
    assert (tmp_path / "plan.toml").read_bytes() == WARMER


def test_a_refused_edit_that_cannot_be_laid_aside_is_not_written_over(tmp_path: Path) -> None:
    """The proposal runs from the archive, and the grower's file stays."""
    store = begun(tmp_path)
    write(tmp_path, NO_PLAN)
    run(store.reload(now=NOW + 1))
    (tmp_path / "state" / "refused-plan.toml").mkdir()
    taken = run(store.take(WARMER, now=NOW + 2))
    assert (taken.is_new, len(taken.remarks)) == (True, 1)
    assert taken.refused is not None
    assert (tmp_path / "plan.toml").read_bytes() == NO_PLAN
    again = PlanStore(tmp_path / "plan.toml", tmp_path / "state")
    assert again.start(NOW + 3).revision.number == 2


@pytest.mark.parametrize("note", ["x" * 201, "two\nlines", "a bell \x07"])
def test_a_note_is_one_line(tmp_path: Path, note: str) -> None:
    """It is shown in lists."""
    store = begun(tmp_path)
    with pytest.raises(BadRequestError, match="a note is one line of at most 200 characters"):
        run(store.take(WARMER, now=NOW, note=note))
    with pytest.raises(BadRequestError):
        run(store.restore(1, now=NOW, note=note))


def test_more_proposals_than_wait_are_told_to_come_again(tmp_path: Path) -> None:
    """The first ones are taken in turn; an edit by hand is taken all the same."""
    begin = asyncio.Event()

    async def examine(data: bytes, *, source: str, now: int) -> Examination:
        await begin.wait()
        return Examination(())

    async def crowd() -> tuple[list[int], bool]:
        store = PlanStore(write(tmp_path, PORCH), tmp_path / "state", examiner=examine)
        store.start(NOW)
        proposals = [
            asyncio.ensure_future(store.take(PORCH + b"# %d\n" % number, now=NOW))
            for number in range(PROPOSALS_MAX + 1)
        ]
        edit = asyncio.ensure_future(store.reload(now=NOW))
        with pytest.raises(BusyError, match="send yours in a minute"):
            await proposals.pop()
        begin.set()
        numbers = [(await proposal).revision.number for proposal in proposals]
        return numbers, (await edit).is_news

    assert run(crowd()) == ([2, 3, 4, 5], False)


# Edits by hand


def test_an_edit_by_hand_is_taken_without_a_reason(tmp_path: Path) -> None:
    """The grower may break a limit of their own plan; that it does is told."""
    store = begun(tmp_path)
    write(tmp_path, BREAKS_A_LIMIT)
    taken = run(store.reload(now=NOW + 1))
    assert (taken.is_new, taken.revision.how) == (True, How.HAND_EDIT)
    assert taken.examination is not None
    assert len(taken.examination.broken_limits) == 1


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda path: path.write_bytes(NO_PLAN), "errors in the plan; first "),
        (lambda path: path.unlink(), "no such file or directory"),
    ],
    ids=["bad", "removed"],
)
def test_a_bad_edit_is_told_once_and_so_is_its_mending(
    tmp_path: Path, spoil: Callable[[Path], object], says: str
) -> None:
    """The plan in force runs on; the file as it was before is no new revision."""
    store = begun(tmp_path)
    path = tmp_path / "plan.toml"
    spoil(path)
    taken = run(store.reload(now=NOW + 1))
    assert (taken.is_new, taken.is_news, taken.revision.number) == (False, True, 1)
    assert says in taken.sentence
    assert taken.sentence.endswith("; plan revision 1 runs on")
    assert store.refused is taken.refused
    assert not run(store.reload(now=NOW + 2)).is_news
    write(tmp_path, PORCH)
    mended = run(store.reload(now=NOW + 3))
    assert (mended.is_new, mended.is_news, mended.refused) == (False, True, None)
    assert store.refused is None


def test_edits_are_noticed_taken_and_not_confused_with_our_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The whole way: inotify, examination, revision; with a proposal in between. Slow (1 s):
    three examinations."""
    monkeypatch.setattr(watch, "SETTLE_S", 0.03)

    async def live() -> list[tuple[int, bool, bool]]:
        store = begun(tmp_path, examiner=examine)
        await store.keep()
        path = tmp_path / "plan.toml"
        told: list[tuple[int, bool, bool]] = []
        async with aclosing(hand_edits(path)) as edits:
            for deed in (
                None,
                lambda: path.write_bytes(WARMER),
                None,
                lambda: path.write_bytes(NO_PLAN),
            ):
                if deed is not None:
                    deed()
                elif told:
                    await store.take(GREENHOUSE, now=NOW)
                await asyncio.wait_for(anext(edits), 10)
                taken = await store.reload(now=NOW)
                told.append((taken.revision.number, taken.is_new, taken.is_news))
        return told

    assert run(live()) == [
        (1, False, False),
        (2, True, True),
        (3, False, False),
        (3, False, True),
    ]


# Earlier ones


def test_an_earlier_revision_comes_back_as_a_new_one(tmp_path: Path) -> None:
    """The history is added to and never rewritten."""
    store = begun(tmp_path)
    run(store.take(WARMER, now=NOW + 1))
    taken = run(store.restore(1, now=NOW + 2, note="too wet", based_on=2))
    assert taken.sentence == ("plan revision 3 is in force, restored (revision 1 again: too wet)")
    assert (tmp_path / "plan.toml").read_bytes() == PORCH
    assert [(one.number, one.how) for one in store.revisions()] == [
        (1, How.FIRST_START),
        (2, How.PROPOSAL),
        (3, How.RESTORED),
    ]
    with pytest.raises(PlanConflictError):
        run(store.restore(2, now=NOW + 3, based_on=2))


def test_a_revision_that_is_not_there_is_told(tmp_path: Path) -> None:
    """With those that are."""
    store = begun(tmp_path)
    for deed in (store.restore(7, now=NOW), store.text_of(7)):
        with pytest.raises(BadRequestError, match="no plan revision 7: those from 1 to 1 are"):
            run(deed)


def test_the_difference_of_two_plans_is_a_unified_diff() -> None:
    """As `diff -u` prints it, apart from the files' times."""
    porch, warmer, names = PORCH.decode(), WARMER.decode(), ("plan revision 1", "plan revision 2")
    text = difference_of(porch, warmer, names=names)
    assert text.splitlines()[:2] == ["--- plan revision 1", "+++ plan revision 2"]
    assert [line for line in text.splitlines()[2:] if line[0] in "+-"] == [
        '-cycle = "15m on, 45m off"',
        '+cycle = "15m on, 30m off"',
    ]
    assert difference_of(porch, porch, names=names) == ""
    with pytest.raises(BadRequestError, match="more than 5,000 lines: too long to compare"):
        difference_of(porch, porch + "#\n" * 6_000, names=names)


# Given up


def wait_while_writing(
    monkeypatch: pytest.MonkeyPatch, is_writing: threading.Event, go_on: threading.Event
) -> None:
    """Has the plan file written only when the test says so."""

    def wait_and_write(path: Path, data: bytes) -> None:
        is_writing.set()
        assert go_on.wait(10)
        write_plan_file(path, data)

    monkeypatch.setattr("controller.shell.plan_store.plan_place.write_plan_file", wait_and_write)


@pytest.mark.parametrize("times", [1, 3])
def test_a_plan_whose_client_gives_up_while_it_is_written_is_told_at_the_next_look(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, times: int
) -> None:
    """What has begun to be written comes into force as a whole; whoever looks next is told that
    it is new, so that what runs and what is in force are the same. Cancelled once, or thrice."""
    is_writing, go_on = threading.Event(), threading.Event()
    wait_while_writing(monkeypatch, is_writing, go_on)

    async def give_up() -> None:
        store = begun(tmp_path)
        proposal = asyncio.ensure_future(store.take(WARMER, now=NOW + 1))
        await asyncio.to_thread(is_writing.wait, 10)
        for _ in range(times):
            proposal.cancel()
            await asyncio.sleep(0)
        next_look = asyncio.ensure_future(store.reload(now=NOW + 2))
        await asyncio.sleep(0)
        go_on.set()
        with pytest.raises(asyncio.CancelledError):
            await proposal
        told = await next_look
        assert (told.is_new, told.revision.how, told.revision.taken) == (
            True, How.PROPOSAL, NOW + 1,
        )  # fmt: skip
        assert str(told.prepared.plan.loads["pump"].spans[1].cycle) == "15m on, 30m off"
        assert (tmp_path / "plan.toml").read_bytes() == WARMER
        assert not (await store.reload(now=NOW + 3)).is_news
        assert store.is_safe

    run(give_up())


def test_a_mending_whose_client_gives_up_while_it_is_written_is_told_at_the_next_look(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The journal's last word of the plan file is not that it was refused."""
    is_writing, go_on = threading.Event(), threading.Event()

    async def give_up() -> None:
        store = begun(tmp_path)
        write(tmp_path, NO_PLAN)
        assert (await store.reload(now=NOW + 1)).refused is not None
        wait_while_writing(monkeypatch, is_writing, go_on)
        proposal = asyncio.ensure_future(store.take(PORCH, now=NOW + 2))
        await asyncio.to_thread(is_writing.wait, 10)
        proposal.cancel()
        go_on.set()
        with pytest.raises(asyncio.CancelledError):
            await proposal
        told = await store.reload(now=NOW + 3)
        assert (told.is_new, told.is_news, told.refused) == (False, True, None)
        assert not (await store.reload(now=NOW + 4)).is_news

    run(give_up())


def test_a_plan_whose_client_gives_up_while_it_is_examined_changes_nothing(
    tmp_path: Path,
) -> None:
    """The examination ends with it, and the next plan is taken."""
    is_examining = asyncio.Event()

    async def examine_for_ever(data: bytes, *, source: str, now: int) -> Examination:
        is_examining.set()
        await asyncio.get_running_loop().create_future()
        raise AssertionError

    async def give_up() -> None:
        store = begun(tmp_path, examiner=examine_for_ever)
        proposal = asyncio.ensure_future(store.take(WARMER, now=NOW + 1))
        await is_examining.wait()
        proposal.cancel()
        with pytest.raises(asyncio.CancelledError):
            await proposal
        assert (tmp_path / "plan.toml").read_bytes() == PORCH
        assert not (await store.reload(now=NOW + 2)).is_news

    run(give_up())
