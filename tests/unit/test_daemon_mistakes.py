"""Mistakes of our own that the watering survives: in the log in full, in the journal in a line."""

from __future__ import annotations

import asyncio

from controller.core.journal_entry import Deed
from controller.daemon.mistakes import Mistakes

HOUR_MS = 3_600_000


class Heard:
    """Mistakes, and what they were told as; the tick is set by the test."""

    def __init__(self) -> None:
        self.tick = 0
        self.journal: list[tuple[Deed, str]] = []
        self.log: list[str] = []
        self.mistakes = Mistakes(
            note=lambda what, detail: self.journal.append((what, detail)),
            tell=self.log.append,
            tick=lambda: self.tick,
        )

    @property
    def lines(self) -> list[str]:
        """The journal's words up to where every line ends alike."""
        ending = "; the controller goes on, and the system's log has more"
        assert all(detail.endswith(ending) for _, detail in self.journal)
        return [detail.removesuffix(ending) for _, detail in self.journal]


def raised(words: str) -> ZeroDivisionError:
    """An error with a traceback."""

    def broken() -> None:
        raise ZeroDivisionError(words)

    try:
        broken()
    except ZeroDivisionError as error:
        return error
    raise AssertionError


def test_the_log_has_the_traceback_and_the_journal_a_line() -> None:
    """A grower looks in the journal, a developer in the log."""
    heard = Heard()
    heard.mistakes.happened("the look failed", raised("of\nzero"))
    assert heard.journal[0][0] is Deed.MISTAKE
    assert heard.lines == ["the look failed (ZeroDivisionError: of zero)"]
    assert "Traceback" in heard.log[0]


def test_the_same_is_noted_once_in_an_hour_and_always_logged() -> None:
    """A mistake of every second leaves room in the journal."""
    heard = Heard()
    for heard.tick in range(0, HOUR_MS + 1, 60_000):
        heard.mistakes.happened("a look failed", raised("zero"))
    assert heard.lines == ["a look failed (ZeroDivisionError: zero)"] * 2
    assert len(heard.log) == 61


def test_others_are_noted_meanwhile() -> None:
    """Another error, and another place."""
    heard = Heard()
    for what, words in (("a", "x"), ("a", "y"), ("b", "x"), ("a", "x")):
        heard.mistakes.happened(what, raised(words))
    assert len(heard.journal) == 3


def test_no_more_are_remembered_than_a_hundred() -> None:
    """A mistake that is told in ever new words takes no more and more memory."""
    heard = Heard()
    for number in range(1000):
        heard.mistakes.happened("a look failed", raised(str(number)))
    assert len(heard.journal) == 1000
    assert len(heard.mistakes._noted) == 100


def test_a_line_is_short_whatever_is_said() -> None:
    """An error may quote a whole file."""
    heard = Heard()
    heard.mistakes.happened("a look failed", raised("x" * 100_000))
    (line,) = heard.lines
    assert len(line) == 400
    assert line.endswith("x…")


def test_the_loops_own_words_do_without_an_error() -> None:
    """As asyncio tells of a task that was forgotten."""
    heard = Heard()
    with asyncio.Runner() as runner:
        heard.mistakes.on_mistake(runner.get_loop(), {"message": "Task was destroyed"})
    assert heard.lines == ["Task was destroyed"]
    assert heard.log == ["a mistake in the controller, which goes on: Task was destroyed"]
