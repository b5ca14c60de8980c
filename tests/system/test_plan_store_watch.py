"""Edits by hand are noticed, however an editor writes: real files, real inotify.

Editors' habits are from memory; strace of any of them shows the same calls.
"""

from __future__ import annotations

import asyncio
import errno
import os
import shutil
from collections.abc import Awaitable, Callable
from contextlib import aclosing
from pathlib import Path

import pytest

from controller.core.errors import UnwatchedError
from controller.shell.plan_store import watch
from controller.shell.plan_store.watch import hand_edits

SOON_S = 10.0  # for a machine that is busy; all of it is quick


@pytest.fixture(autouse=True)
def _settle_quickly(monkeypatch: pytest.MonkeyPatch) -> None:
    """A tenth of the time that people get."""
    monkeypatch.setattr(watch, "SETTLE_S", 0.03)
    monkeypatch.setattr(watch, "SETTLE_S_MAX", 0.3)


def noticed(path: Path, *deeds: Callable[[], object]) -> list[str | None]:
    """What the file held (None: could not be read) at each notice, when each deed is done after
    the notice of the one before."""
    seen = []

    async def watch_them() -> None:
        async with aclosing(hand_edits(path)) as edits:
            await anext(edits)
            for deed in deeds:
                deed()
                await asyncio.wait_for(anext(edits), SOON_S)
                seen.append(held(path))

    asyncio.run(watch_them())
    return seen


def held(path: Path) -> str | None:
    """The text of the file, None where it cannot be read."""
    try:
        return path.read_text()
    except OSError:
        return None


def write_in_place(path: Path) -> None:
    """As `echo new > plan.toml` and plain editors do."""
    path.write_text("new")


def write_beside_and_rename(path: Path) -> None:
    """As careful editors and `sed -i` do."""
    beside = path.with_name("plan.toml.tmp1")
    beside.write_text("new")
    beside.rename(path)


def write_as_vim_does(path: Path) -> None:
    """A test file, the old one renamed to a backup, a new one, the backup removed."""
    probe = path.with_name("4913")
    probe.touch()
    probe.unlink()
    backup = path.with_name("plan.toml~")
    path.rename(backup)
    path.write_text("new")
    backup.unlink()


def write_as_emacs_does(path: Path) -> None:
    """A lock that is a dangling link, a backup copy, then in place."""
    lock = path.with_name(".#plan.toml")
    lock.symlink_to("grower@porch.1234")
    shutil.copy2(path, path.with_name("plan.toml~"))
    path.write_text("new")
    lock.unlink()


def move_from_another_folder(path: Path) -> None:
    """As `mv` from elsewhere on the card."""
    other = path.parent.with_name("other")
    other.mkdir(exist_ok=True)
    (other / "plan.toml").write_text("new")
    (other / "plan.toml").rename(path)


def replace_by_a_link(path: Path) -> None:
    """As tools that keep a folder of versions do."""
    path.with_name("version-2.toml").write_text("new")
    path.unlink()
    path.symlink_to("version-2.toml")


def replace_by_a_hard_link(path: Path) -> None:
    """As backup tools do; nothing is ever written under the plan's name."""
    path.with_name("version-2.toml").write_text("new")
    path.unlink()
    path.hardlink_to(path.with_name("version-2.toml"))


@pytest.mark.parametrize(
    "edit",
    [
        write_in_place,
        write_beside_and_rename,
        write_as_vim_does,
        write_as_emacs_does,
        move_from_another_folder,
        replace_by_a_link,
        replace_by_a_hard_link,
    ],
)
def test_an_edit_is_noticed_when_it_is_whole(tmp_path: Path, edit: Callable[[Path], None]) -> None:
    """One notice, with the whole new text in the file; and the next edit is noticed too."""
    path = tmp_path / "folder" / "plan.toml"
    path.parent.mkdir()
    path.write_text("old")
    assert noticed(
        path, lambda: edit(path), path.unlink, lambda: path.write_text("newer"), lambda: edit(path)
    ) == ["new", None, "newer", "new"]


def test_the_folder_may_be_the_one_that_the_process_is_in(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A bare file name is a path."""
    monkeypatch.chdir(tmp_path)
    path = Path("plan.toml")
    assert noticed(path, lambda: write_in_place(path)) == ["new"]


async def settled_notices(path: Path, deed: Callable[[], Awaitable[object]]) -> int:
    """How many notices a deed brings, with all that follow until nothing happens any more."""
    count = 0
    async with aclosing(hand_edits(path)) as edits:
        await anext(edits)

        async def take_notice() -> None:
            nonlocal count
            async for _ in edits:
                count += 1

        listening = asyncio.ensure_future(take_notice())
        await deed()
        await asyncio.sleep(10 * watch.SETTLE_S)  # that nothing comes shows only in time
        listening.cancel()
        await asyncio.wait({listening})
    return count


def test_an_editor_that_writes_in_pieces_is_waited_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ten openings, writings and closings in a row are one edit."""
    # Time enough between two pieces for a machine that has much else to do.
    monkeypatch.setattr(watch, "SETTLE_S", 0.2)
    monkeypatch.setattr(watch, "SETTLE_S_MAX", 30.0)
    path = tmp_path / "plan.toml"

    async def write_slowly() -> None:
        path.write_text("")
        for piece in range(10):
            with path.open("a") as file:
                file.write(f"{piece}\n")
            await asyncio.sleep(watch.SETTLE_S / 3)

    assert asyncio.run(settled_notices(path, write_slowly)) == 1


def test_a_file_that_is_never_left_alone_is_looked_at_all_the_same(tmp_path: Path) -> None:
    """A script that writes without end does not keep its edits from being seen."""
    path = tmp_path / "plan.toml"

    async def write_without_end() -> int:
        async with aclosing(hand_edits(path)) as edits:
            await anext(edits)

            async def write() -> None:
                while True:
                    path.write_text("new")
                    await asyncio.sleep(watch.SETTLE_S / 3)

            writing = asyncio.ensure_future(write())
            for _ in range(2):
                await asyncio.wait_for(anext(edits), SOON_S)
            writing.cancel()
            await asyncio.wait({writing})
        return 2

    assert asyncio.run(write_without_end()) == 2


def test_what_happens_to_other_files_is_no_edit(tmp_path: Path) -> None:
    """The journal may lie in the same folder; reading the plan is none either."""
    path = tmp_path / "plan.toml"
    path.write_text("old")

    async def work_around_it() -> None:
        for name in (
            "journal.sqlite3",
            "journal.sqlite3-wal",
            "plan.toml.swp",
            ".plan.toml.rootclock",
        ):
            (tmp_path / name).write_text("x")
            (tmp_path / name).unlink()
        (tmp_path / "folder").mkdir()
        path.read_text()

    assert asyncio.run(settled_notices(path, work_around_it)) == 0


def test_a_file_that_may_be_read_again_is_noticed(tmp_path: Path) -> None:
    """The grower saved it for themselves alone, is told so, and changes its rights."""
    path = tmp_path / "plan.toml"
    path.write_text("private")
    path.chmod(0o600)
    assert noticed(path, lambda: path.chmod(0o640)) == ["private"]


def test_an_edit_of_what_a_link_points_to_is_noticed(tmp_path: Path) -> None:
    """Through two links, in three folders: an edit of the target, and of each link."""
    for name in ("a", "b", "c"):
        (tmp_path / name).mkdir()
    target = tmp_path / "c" / "real.toml"
    target.write_text("old")
    (tmp_path / "b" / "middle.toml").symlink_to("../c/real.toml")
    path = tmp_path / "a" / "plan.toml"
    path.symlink_to(tmp_path / "b" / "middle.toml")
    (tmp_path / "c" / "other.toml").write_text("other")
    (tmp_path / "b" / "new-link").symlink_to("../c/other.toml")

    def swap_the_link() -> None:
        (tmp_path / "b" / "new-link").rename(tmp_path / "b" / "middle.toml")

    assert noticed(
        path,
        lambda: target.write_text("new"),
        swap_the_link,
        lambda: (tmp_path / "c" / "other.toml").write_text("other, edited"),
        lambda: write_beside_and_rename(path),
    ) == ["new", "other", "other, edited", "new"]


def test_a_link_that_is_made_while_the_file_settles_is_followed(tmp_path: Path) -> None:
    """Removed, and a moment later a link: what it points to is watched from then on."""
    path, target = tmp_path / "folder" / "plan.toml", tmp_path / "other" / "real.toml"
    for file in (path, target):
        file.parent.mkdir()
        file.write_text("old")

    async def replace_slowly() -> str:
        async with aclosing(hand_edits(path)) as edits:
            await anext(edits)
            following = asyncio.ensure_future(anext(edits))
            path.unlink()
            await asyncio.sleep(watch.SETTLE_S / 2)
            path.symlink_to(target)
            await asyncio.wait_for(following, SOON_S)
            target.write_text("new")
            await asyncio.wait_for(anext(edits), SOON_S)
        return path.read_text()

    assert asyncio.run(replace_slowly()) == "new"


def test_a_folder_that_comes_and_goes_is_watched_again(tmp_path: Path) -> None:
    """Removed, made anew, moved away and back: each is noticed, and then edits in it."""
    folder = tmp_path / "deep" / "folder"
    folder.mkdir(parents=True)
    path = folder / "plan.toml"
    path.write_text("old")

    def make_anew() -> None:
        folder.mkdir(parents=True)
        path.write_text("made anew")

    assert noticed(
        path,
        lambda: shutil.rmtree(tmp_path / "deep"),
        make_anew,
        lambda: path.write_text("edited"),
        lambda: folder.rename(tmp_path / "away"),
        lambda: (tmp_path / "away").rename(folder),
        lambda: path.write_text("edited again"),
    ) == [None, "made anew", "edited", None, "edited", "edited again"]


def test_more_events_than_the_kernel_keeps_lose_no_edit(tmp_path: Path) -> None:
    """While the controller was busy the queue overflowed: the file is looked at to be safe.

    Slow (0.5 s): the kernel keeps 16,384 events.
    """
    path = tmp_path / "plan.toml"
    kept = int(Path("/proc/sys/fs/inotify/max_queued_events").read_text())

    def flood() -> None:
        for number in range(kept + 10):
            # Two in turn, since the kernel joins equal events.
            os.close(os.open(tmp_path / f"other-{number % 2}", os.O_WRONLY | os.O_CREAT))
        path.write_text("new")  # nobody is told of this one

    assert noticed(path, flood) == ["new"]


@pytest.mark.parametrize("call", ["__init__", "add_watch"])
def test_a_system_that_tells_nothing_is_told_with_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    """No more instances or watches are to be had; used up really, they would fail others too."""

    def refuse(*words: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(f"asyncinotify.Inotify.{call}", refuse)
    path = tmp_path / "plan.toml"

    async def watch_it() -> None:
        async with aclosing(hand_edits(path)) as edits:
            await anext(edits)

    with pytest.raises(UnwatchedError) as caught:
        asyncio.run(watch_it())
    assert str(caught.value) == (
        f"plan {path}: edits by hand are not noticed by themselves (no space left on device): "
        "after an edit, run: systemctl reload rootclock"
    )


def test_nothing_is_left_open_when_nobody_listens_any_longer(tmp_path: Path) -> None:
    """Watching, and giving up in the middle of waiting."""

    async def give_up() -> None:
        async with aclosing(hand_edits(tmp_path / "plan.toml")) as edits:
            await anext(edits)
            with pytest.raises(TimeoutError):
                await asyncio.wait_for(anext(edits), 0.01)

    asyncio.run(give_up())  # whatever is imported late is open now
    before = os.listdir("/proc/self/fd")  # noqa: PTH208
    asyncio.run(give_up())
    assert os.listdir("/proc/self/fd") == before  # noqa: PTH208
