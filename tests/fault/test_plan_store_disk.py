"""A disk that refuses, at each system call, full, damaged or not there: the plan goes on."""

from __future__ import annotations

import asyncio
import errno
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from controller.core.errors import PlanRefusedError, UnusableFileError
from controller.shell import files
from controller.shell.examples import example_text
from controller.shell.files import write_durably
from controller.shell.plan_store.examination import Examination
from controller.shell.plan_store.revision import How
from controller.shell.plan_store.store import PlanStore
from controller.shell.plan_store.taken import Taken

ROOT = Path(__file__).resolve().parents[2]
NOW = 1_782_900_000_000
CALLS = frozenset(
    {"open", "write", "fchown", "fchmod", "fsync", "close", "replace", "unlink", "fstat", "stat"}
)


class FailingOs:
    """The `os` module, of which one call, or each from one on, fails with an input/output
    error."""

    def __init__(self, *, first: int, last: int) -> None:
        self.calls = 0
        self._failing = range(first, last + 1)

    def __getattr__(self, name: str) -> Any:
        real = getattr(os, name)
        if name not in CALLS:
            return real

        def counted(*words: Any, **more: Any) -> Any:
            self.calls += 1
            if self.calls not in self._failing:
                return real(*words, **more)
            if name == "close":  # the handle is gone all the same; see close(2)
                real(*words)
            raise OSError(errno.EIO, "Input/output error")

        return counted


async def examine(data: bytes, *, source: str, now: int) -> Examination:
    """An examiner without findings: these tests are about the disk."""
    return Examination(())


def plan(version: int) -> bytes:
    """The porch plan, told apart by a comment."""
    return f"{example_text('porch')}# version {version}\n".encode()


def store_in(folder: Path) -> PlanStore:
    """The store over a folder with a plan file and a state folder."""
    return PlanStore(folder / "plan.toml", folder / "state", examiner=examine)


def begun(folder: Path) -> PlanStore:
    """A store in which version 1 is in force, as its first revision."""
    folder.mkdir(exist_ok=True)
    (folder / "plan.toml").write_bytes(plan(1))
    store = store_in(folder)
    store.start(NOW)
    assert asyncio.run(store.keep()) == ()
    return store


def text_in_force(store: PlanStore) -> bytes:
    """The plan that a store has in force."""
    return asyncio.run(store.text_of(store.in_force.number)).encode()


# At each system call


def calls_of_a_write(folder: Path) -> int:
    """How many system calls one durable write makes."""
    counting = FailingOs(first=0, last=-1)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(files, "os", counting)
        write_durably(folder / "counted", b"x", what="plan")
        write_durably(folder / "counted", b"y", what="plan")
    return counting.calls


def error_of(deed: Callable[[], None]) -> str | None:
    """What a deed says about a file that it cannot use, None where it can."""
    try:
        deed()
    except UnusableFileError as error:
        return str(error)
    return None


@pytest.mark.parametrize("goes_on", [False, True], ids=["once", "from then on"])
def test_a_write_that_fails_anywhere_leaves_the_old_file_or_the_new(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, goes_on: bool
) -> None:
    """Whichever call fails: an error in words, a whole file, and the next write succeeds."""
    path = tmp_path / "plan.toml"
    held = []
    for call in range(1, calls_of_a_write(tmp_path)):
        path.write_bytes(b"old")
        failing = FailingOs(first=call, last=10_000 if goes_on else call)
        monkeypatch.setattr(files, "os", failing)
        told = error_of(lambda: write_durably(path, b"new", what="plan"))
        monkeypatch.setattr(files, "os", os)
        if failing.calls < call:
            assert told is None
            break
        assert told == f"plan {path}: input/output error"
        held.append(path.read_bytes())
        write_durably(path, b"newer", what="plan")
        assert path.read_bytes() == b"newer"
        assert sorted(item.name for item in tmp_path.iterdir()) == ["counted", "plan.toml"]
    assert held.count(b"old") >= 8  # all before the rename
    assert held[-1] == b"new"  # the folder's fsync comes after it


def test_a_take_that_meets_one_error_anywhere_is_in_force_and_lasts(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The new plan runs, the trouble is told, and the next start has the new plan too."""
    told = []
    for call in range(1, 200):
        folder = tmp_path / str(call)
        store = begun(folder)
        failing = FailingOs(first=call, last=call)
        monkeypatch.setattr(files, "os", failing)
        taken = asyncio.run(store.take(plan(2), now=NOW + 1))
        monkeypatch.setattr(files, "os", os)
        if failing.calls < call:
            break
        assert taken.is_new
        assert (text_in_force(store), taken.refused) == (plan(2), None)
        told.append(taken.remarks)
        after = store_in(folder)
        after.start(NOW + 2)
        assert text_in_force(after) == plan(2)
        assert asyncio.run(store.keep()) == ()  # the disk works again
        assert store.is_safe
        shutil.rmtree(folder)
    assert len(told) > 30
    # Only the looks at the plan file before and after its writing may fail without a word.
    assert sum(1 for remarks in told if not remarks) <= 4


def test_a_disk_that_dies_in_the_middle_of_a_take_loses_no_good_plan(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From any call on nothing works: the new plan runs, and the next start has one of the two."""
    for call in range(1, 60, 3):
        folder = tmp_path / str(call)
        store = begun(folder)
        monkeypatch.setattr(files, "os", FailingOs(first=call, last=10_000))
        taken = asyncio.run(store.take(plan(2), now=NOW + 1))
        monkeypatch.setattr(files, "os", os)
        assert text_in_force(store) == plan(2)
        after = store_in(folder)
        after.start(NOW + 2)
        assert text_in_force(after) in {plan(1), plan(2)}
        if not taken.remarks:
            break
    else:
        pytest.fail("no take came through unharmed")


# Full


FULL = """
import asyncio, resource, sys
from pathlib import Path
from controller.shell.plan_store.examination import Examination
from controller.shell.plan_store.store import PlanStore

async def examine(data, *, source, now):
    return Examination(())

folder, limit, new = Path(sys.argv[1]), int(sys.argv[2]), sys.stdin.buffer.read()
store = PlanStore(folder / "plan.toml", folder / "state", examiner=examine)
store.start(0)
resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
taken = asyncio.run(store.take(new, now=1))
print(taken.is_new, store.is_safe, *taken.remarks, sep="\\n")
"""


@pytest.mark.parametrize("room", [0, 100, 1_530])  # nothing fits, the index does, the plan just not
def test_a_full_disk_keeps_no_plan_from_running(tmp_path: Path, room: int) -> None:
    """The system's own refusal to write more, in a process of its own. Slow (0.5 s) for that."""
    begun(tmp_path)
    done = subprocess.run(  # noqa: S603 - our own text
        [sys.executable, "-c", FULL, str(tmp_path), str(room)],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        input=plan(2).decode(), capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (done.stderr, done.returncode) == ("", 0)
    is_new, is_safe, *remarks = done.stdout.splitlines()
    assert (is_new, is_safe) == ("True", "False")
    assert remarks == [
        f"the plan runs, but the file on disk is the old one: plan {tmp_path / 'plan.toml'}: "
        "file too large",
        "the plan runs, but the record of plans is not written: plan revision "
        f"{tmp_path / 'state/revisions/000002.toml'}: file too large",
    ]
    after = store_in(tmp_path)
    assert after.start(NOW).refused is None
    assert text_in_force(after) == plan(1)
    assert (tmp_path / "plan.toml").read_bytes() == plan(1)


# Not there, or not to be written


def obstructed(folder: Path) -> None:
    """A state folder that cannot be: a file stands there. (Root ignores permissions.)"""
    (folder / "state").write_text("in the way")


def test_without_a_state_folder_plans_run_from_memory(tmp_path: Path) -> None:
    """It is told at the start, at the keeping and at each take; nothing stops."""
    (tmp_path / "plan.toml").write_bytes(plan(1))
    obstructed(tmp_path)
    store = store_in(tmp_path)
    taken = store.start(NOW)
    assert taken.is_new
    assert taken.remarks == (
        f"plan revisions {tmp_path / 'state/revisions'}: not a directory; earlier plans cannot be "
        "seen, and new ones are kept in memory only",
    )
    told = asyncio.run(store.keep())
    assert told == (
        "the plan runs, but the record of plans is not written: plan revisions "
        f"{tmp_path / 'state/revisions'}: not a directory",
    )
    assert not store.is_safe
    for version in range(2, 30):  # more than wait in memory
        taken = asyncio.run(store.take(plan(version), now=NOW + version))
        assert (taken.is_new, taken.remarks) == (True, told)
    assert text_in_force(store) == plan(29)
    assert [one.number for one in store.revisions()] == list(range(10, 30))
    assert (tmp_path / "plan.toml").read_bytes() == plan(29)
    assert (tmp_path / "state").read_text() == "in the way"


def test_a_history_that_could_not_be_seen_is_not_written_over(tmp_path: Path) -> None:
    """The card failed at the start and works again later: what lies there has numbers of its
    own, so that the new plans stay in memory, and are told."""
    three_revisions(tmp_path)

    def fail(path: Path) -> None:
        raise OSError(errno.EIO, "Input/output error")

    store = store_in(tmp_path)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "listdir", fail)
        assert store.start(NOW).revision.number == 1
    revisions = tmp_path / "state/revisions"
    before = {path.name: path.read_bytes() for path in revisions.iterdir()}
    for version in range(4, 9):
        (remark,) = asyncio.run(store.take(plan(version), now=NOW)).remarks
        assert remark == (
            f"the plan runs, but the record of plans is not written: plan revisions {revisions}: "
            "input/output error"
        )
    assert {path.name: path.read_bytes() for path in revisions.iterdir()} == before
    again = store_in(tmp_path)
    assert again.start(NOW).revision.number == 4
    assert text_in_force(again) == plan(8)


def test_a_plan_file_that_cannot_be_written_is_told_and_not_taken_for_an_edit(
    tmp_path: Path,
) -> None:
    """The plan runs on at the next start too, and an edit of the old file is taken as one."""
    store = begun(tmp_path)
    (tmp_path / ".plan.toml.rootclock").mkdir()  # where the unfinished file would be
    taken = asyncio.run(store.take(plan(2), now=NOW + 1))
    assert taken.remarks == (
        f"the plan runs, but the file on disk is the old one: plan {tmp_path / 'plan.toml'}: "
        "is a directory",
    )
    assert (taken.is_new, taken.refused, text_in_force(store)) == (True, None, plan(2))
    assert not asyncio.run(store.reload(now=NOW + 2)).is_news
    after = store_in(tmp_path)
    begins = after.start(NOW + 3)
    assert text_in_force(after) == plan(2)
    assert begins.remarks == (
        f"the plan file {tmp_path / 'plan.toml'} is not the plan that runs: revision 2 could not "
        "be written to it",
    )
    (tmp_path / "plan.toml").write_bytes(plan(3))
    edited = asyncio.run(after.reload(now=NOW + 4))
    assert (edited.is_new, edited.revision.how) == (True, How.HAND_EDIT)
    assert text_in_force(after) == plan(3)


def test_another_folder_in_the_state_folder_s_place_is_not_written_over(tmp_path: Path) -> None:
    """A card that was mounted too late holds a history that must not be lost."""
    store = begun(tmp_path)
    other = tmp_path / "other"
    begun(other)
    asyncio.run(store_of_two(other))
    shutil.rmtree(tmp_path / "state")
    shutil.move(other / "state", tmp_path / "state")
    (remark,) = asyncio.run(store.take(plan(9), now=NOW + 1)).remarks
    assert "is another one, which is not written over" in remark
    assert (tmp_path / "state/revisions/000002.toml").read_bytes() == plan(2)


async def store_of_two(folder: Path) -> Taken:
    """The same folder with a second revision."""
    store = store_in(folder)
    store.start(NOW)
    return await store.take(plan(2), now=NOW + 1)


# Damaged


def three_revisions(folder: Path) -> None:
    """Versions 1 to 3 as revisions, the last one in the plan file too."""
    store = begun(folder)
    for version in (2, 3):
        asyncio.run(store.take(plan(version), now=NOW + version))


def test_an_index_cut_off_or_overwritten_anywhere_loses_no_plan(tmp_path: Path) -> None:
    """Truncated and overwritten at places all over: every plan is still there. (At each byte:
    tests/unit/test_plan_store_index.)"""
    three_revisions(tmp_path)
    index = tmp_path / "state/revisions/index.jsonl"
    whole = index.read_bytes()
    spoilt = [whole[:size] for size in range(0, len(whole), 5)]
    spoilt += [whole[:at] + b"\xff" + whole[at + 1 :] for at in range(0, len(whole), 31)]
    for data in spoilt:
        index.write_bytes(data)
        store = store_in(tmp_path)
        taken = store.start(NOW)
        assert (taken.is_new, taken.refused) == (False, None)
        assert [one.number for one in store.revisions()] == [1, 2, 3]
        assert taken.revision.number == 3
        lost = [one for one in store.revisions() if one.how is How.UNKNOWN]
        # A line may end without its newline; whatever else is lost shows.
        assert bool(lost) or len(data) >= len(whole) - 1
        assert [one.sha256 for one in lost] == [one.file_sha256 for one in lost]


@pytest.mark.parametrize("spoil", ["overwritten", "removed", "a folder", "a pipe"])
def test_a_lost_index_is_told_and_made_anew(tmp_path: Path, spoil: str) -> None:
    """From the revisions' files; when and how they came is lost, and told so."""
    three_revisions(tmp_path)
    index = tmp_path / "state/revisions/index.jsonl"
    index.unlink()
    match spoil:
        case "overwritten":
            index.write_bytes(os.urandom(3_000))
        case "a folder":
            index.mkdir()
        case "a pipe":
            os.mkfifo(index)
    store = store_in(tmp_path)
    taken = store.start(NOW)
    assert [(one.number, one.how) for one in store.revisions()] == [
        (number, How.UNKNOWN) for number in (1, 2, 3)
    ]
    assert taken.remarks[0].endswith(
        "when and how the plans came is lost for those, the plans are not"
    )
    kept = asyncio.run(store.keep())
    if spoil in {"a folder", "a pipe"}:
        assert "index of plan revisions" in kept[0]
        return
    assert kept == ()
    assert store_in(tmp_path).start(NOW).remarks == ()


def test_a_revision_that_the_card_has_damaged_is_told_and_skipped(tmp_path: Path) -> None:
    """Its bytes are not those that were written: the one before it runs, even if the damaged
    one could be read as a plan."""
    three_revisions(tmp_path)
    revisions = tmp_path / "state/revisions"
    (revisions / "000003.toml").write_bytes(plan(3).replace(b"15m on", b"16m on"))
    (tmp_path / "plan.toml").unlink()
    store = store_in(tmp_path)
    taken = store.start(NOW)
    assert text_in_force(store) == plan(2)
    assert isinstance(taken.refused, UnusableFileError)
    assert taken.sentence == (
        f"plan {tmp_path / 'plan.toml'}: no such file or directory; plan revision 2 runs on"
    )
    assert taken.remarks == (
        f"plan revision {revisions / '000003.toml'}: is damaged: its bytes are not those that "
        "were written; look after the memory card; the plan before it is tried",
        "plan revision 2 of 2026-07-01T10:00:00.002Z runs, the last one that is good",
    )
    taken = asyncio.run(store.take(plan(4), now=NOW + 9, based_on=2))
    assert (taken.revision.number, taken.remarks) == (4, ())


def test_without_any_good_plan_the_start_says_how_to_begin(tmp_path: Path) -> None:
    """No file and no revision, or all of them damaged."""
    with pytest.raises(UnusableFileError) as nothing:
        store_in(tmp_path).start(NOW)
    assert str(nothing.value) == (
        f"plan {tmp_path / 'plan.toml'}: no such file or directory; no earlier plan is kept; to "
        "begin: rootclock example porch > plan.toml, change the site and the line in it, and "
        "start again with plan.toml"
    )
    three_revisions(tmp_path)
    for path in (tmp_path / "state/revisions").glob("*.toml"):
        path.write_bytes(b"\0" * 1_000)
    (tmp_path / "plan.toml").write_bytes(b"nonsense")
    with pytest.raises(PlanRefusedError) as refused:
        store_in(tmp_path).start(NOW)
    assert refused.value.source == str(tmp_path / "plan.toml")


def test_a_good_old_file_is_better_than_nothing(tmp_path: Path) -> None:
    """The newer plan could not be written to the file, and the card has lost it since."""
    store = begun(tmp_path)
    (tmp_path / ".plan.toml.rootclock").mkdir()
    asyncio.run(store.take(plan(2), now=NOW + 1))
    for number in (1, 2):
        (tmp_path / f"state/revisions/00000{number}.toml").write_bytes(b"")
    after = store_in(tmp_path)
    assert after.start(NOW).is_new
    assert text_in_force(after) == plan(1)


# Hostile plan files


@pytest.mark.parametrize(
    ("kind", "says"),
    [
        ("folder", "is a directory"),
        ("pipe", "is no ordinary file but a pipe, device or the like"),  # nobody writes to it
        ("endless device", "is no ordinary file but a pipe, device or the like"),
        ("link to itself", "too many levels of symbolic links"),
        ("link to nothing", "no such file or directory"),
        ("1 GB of nothing", "1 error in the plan"),
        ("nothing in it", "1 error in the plan"),
        ("random bytes", "1 error in the plan"),
    ],
)
def test_whatever_stands_in_the_plan_file_s_place_the_last_plan_runs_on(
    tmp_path: Path, kind: str, says: str
) -> None:
    """At the start and while it runs; it is told, nothing waits, nothing is written over."""
    running = begun(tmp_path)
    path = tmp_path / "plan.toml"
    path.unlink()
    match kind:
        case "folder":
            path.mkdir()
        case "pipe":
            os.mkfifo(path)
        case "endless device":
            path.symlink_to("/dev/zero")
        case "link to itself":
            path.symlink_to("plan.toml")
        case "link to nothing":
            path.symlink_to("nowhere")
        case "1 GB of nothing":
            path.touch()
            os.truncate(path, 1_000_000_000)
        case "random bytes":
            path.write_bytes(b"\xff" + os.urandom(1_000))
        case _:
            path.touch()
    starting = store_in(tmp_path)
    for taken in (starting.start(NOW), asyncio.run(store_reading(running).reload(now=NOW))):
        assert taken.refused is not None
        assert says in str(taken.refused)
        assert (taken.is_new, taken.is_news, taken.revision.number) == (False, True, 1)
    assert text_in_force(starting) == plan(1)


def store_reading(store: PlanStore) -> PlanStore:
    """The store with an examiner that reads the plan, though in this process."""

    async def examine_here(data: bytes, *, source: str, now: int) -> Examination:
        from controller.shell.plan_store.prepared import prepare

        return Examination(prepare(data, source).findings)

    store._examiner = examine_here
    return store


def test_a_plan_that_ends_the_process_is_not_read_twice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second start runs the plan before it, and leaves the file to the examiner."""
    begun(tmp_path)
    (tmp_path / "plan.toml").write_bytes(plan(2))

    def die(data: bytes, source: str) -> None:
        raise KeyboardInterrupt  # stands for what no Python code survives

    with monkeypatch.context() as patch:
        patch.setattr("controller.shell.plan_store.beginning.prepare", die)
        with pytest.raises(KeyboardInterrupt):
            store_in(tmp_path).start(NOW)
    store = store_in(tmp_path)
    taken = store.start(NOW)
    assert text_in_force(store) == plan(1)
    assert taken.sentence == (
        f"plan {tmp_path / 'plan.toml'}: the controller ended when it last read this file, so the "
        "file is examined before it is read again; plan revision 1 runs on"
    )
    assert asyncio.run(store.reload(now=NOW)).is_new  # the examiner had nothing against it
    assert text_in_force(store) == plan(2)
    assert asyncio.run(store.keep()) == ()
    assert store_in(tmp_path).start(NOW).refused is None


def test_a_file_of_another_kind_among_the_revisions_is_told(tmp_path: Path) -> None:
    """Whoever copies something there, or a card that mixes files up: it is skipped."""
    store = begun(tmp_path)
    (tmp_path / "state/revisions/000002.toml").write_bytes(b"\xff\xfe\0")
    (tmp_path / "state/revisions/000003.toml").mkdir()
    (tmp_path / "plan.toml").unlink()
    store = store_in(tmp_path)
    taken = store.start(NOW)
    assert taken.revision.number == 1
    assert taken.remarks[0].startswith("plan revision 3 is left out: ")
    with pytest.raises(UnusableFileError, match="plan revision 2: is damaged: it is no text"):
        asyncio.run(store.text_of(2))


@pytest.mark.parametrize("now", [-1, 0, 10**15], ids=["before 1970", "1970", "far ahead"])
def test_a_clock_that_is_far_out_harms_no_history(tmp_path: Path, now: int) -> None:
    """Numbers tell the order, and the instant is kept as it was."""
    begun(tmp_path)
    store = store_in(tmp_path)
    store.start(now)
    asyncio.run(store.take(plan(2), now=now))
    again = store_in(tmp_path)
    assert again.start(NOW).remarks == ()
    assert [(one.number, one.taken) for one in again.revisions()] == [(1, NOW), (2, now)]


# Bounded


def test_old_revisions_are_removed_from_the_disk(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of many within a day the oldest go; what is listed can be read. (Twenty and not 200, since
    the disk is waited for with each.)"""
    monkeypatch.setattr("controller.shell.plan_store.revision._LAST_MAX", 20)
    store = begun(tmp_path)
    for version in range(2, 31):
        asyncio.run(store.take(plan(version), now=NOW))
    files_left = {path.name for path in (tmp_path / "state/revisions").glob("*.toml")}
    assert files_left == {f"{number:06}.toml" for number in range(11, 31)}
    again = store_in(tmp_path)
    assert again.start(NOW).remarks == ()
    assert [one.number for one in again.revisions()] == list(range(11, 31))
    assert asyncio.run(again.text_of(11)).encode() == plan(11)


def test_an_index_that_cannot_be_written_loses_no_revision(tmp_path: Path) -> None:
    """Their files are there all the same; it is told each time."""
    store = begun(tmp_path)
    index = tmp_path / "state/revisions/index.jsonl"
    index.unlink()
    index.mkdir()
    for version in range(2, 30):
        (remark,) = asyncio.run(store.take(plan(version), now=NOW)).remarks
        assert remark.endswith(f"index of plan revisions {index}: is a directory")
    safe_before = store.is_safe
    index.rmdir()
    assert asyncio.run(store.keep()) == ()
    assert (safe_before, store.is_safe) == (False, True)
    again = store_in(tmp_path)
    assert again.start(NOW).remarks == ()
    assert [one.number for one in again.revisions()] == list(range(1, 30))


def test_a_revision_that_cannot_be_removed_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The plan runs; the next take tries again."""
    monkeypatch.setattr("controller.shell.plan_store.revision._LAST_MAX", 2)
    store = begun(tmp_path)
    asyncio.run(store.take(plan(2), now=NOW))
    oldest = tmp_path / "state/revisions/000001.toml"
    oldest.unlink()
    oldest.mkdir()
    (remark,) = asyncio.run(store.take(plan(3), now=NOW)).remarks
    assert remark == (
        "the plan runs, but the record of plans is not written: "
        f"plan revision {oldest}: is a directory"
    )
    oldest.rmdir()
    assert asyncio.run(store.take(plan(4), now=NOW)).remarks == ()
    assert [one.number for one in store.revisions()] == [3, 4]
