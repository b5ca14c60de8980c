"""What waits to be written: bounded, in order, the newest state kept."""

from __future__ import annotations

import threading

import pytest

from controller.core.journal_entry import Entry, Summary
from controller.shell.journal.backlog import Backlog, Batch, lost_entry
from controller.shell.journal.limits import Limits
from tests.journals import NOON, switching

FEW = Limits(entries_waiting_max=5, summaries_waiting_max=2)


def _switchings(*numbers: int) -> list[Entry]:
    return [switching(number) for number in numbers]


def _hour(number: int) -> Summary:
    return Summary("air", NOON + number, NOON + number + 1, 1, 0.0, 0.0, 0.0)


def _ignore(_: bool) -> None:
    """An answer that nobody needs."""


def _taken(backlog: Backlog) -> Batch:
    batch = backlog.take(pause_s=None)
    return batch._replace(entries=[*batch.entries], summaries=[*batch.summaries])


def test_hand_overs_are_taken_together_and_in_order() -> None:
    """The newest state and zone stand for the earlier ones."""
    backlog = Backlog(FEW)
    backlog.add(_switchings(1, 2), state="a", summaries=[_hour(1)])
    backlog.add([], zone="Asia/Tokyo")
    backlog.add(_switchings(3), state="b", zone="Asia/Seoul", summaries=[_hour(2)])
    backlog.add(_switchings(4))
    assert _taken(backlog) == Batch(
        _switchings(1, 2, 3, 4), [_hour(1), _hour(2)], "b", "Asia/Seoul", 0, []
    )


def test_beyond_the_bound_the_oldest_go_and_are_counted() -> None:
    """Of states and summaries, too, the newest stay."""
    backlog = Backlog(FEW)
    for number in range(9):
        backlog.add(_switchings(number), state=str(number), summaries=[_hour(number)])
    assert _taken(backlog) == Batch(
        _switchings(4, 5, 6, 7, 8), [_hour(7), _hour(8)], "8", None, 4, []
    )


def test_what_is_put_back_stands_before_what_came_meanwhile() -> None:
    """Order survives refusals, and the newer state wins."""
    backlog = Backlog(FEW)
    backlog.add(_switchings(1, 2), state="old", zone="Asia/Tokyo", summaries=[_hour(1)])
    batch = backlog.take(pause_s=None)
    backlog.add(_switchings(3), state="new", summaries=[_hour(2)])
    backlog.put_back(batch)
    assert _taken(backlog) == Batch(
        _switchings(1, 2, 3), [_hour(1), _hour(2)], "new", "Asia/Tokyo", 0, []
    )


def test_a_gap_is_always_before_all_that_waits() -> None:
    """What overflowed while a batch was out takes the batch with it: one gap, counted once."""
    backlog = Backlog(FEW)
    backlog.add(_switchings(0, 1))
    batch = backlog.take(pause_s=None)
    for number in range(2, 9):
        backlog.add(_switchings(number))
    backlog.put_back(batch)
    backlog.put_back(Batch(lost=3))
    assert _taken(backlog) == Batch(_switchings(4, 5, 6, 7, 8), [], None, None, 4 + 3, [])


def test_a_hand_over_larger_than_the_bound_keeps_its_newest() -> None:
    """The bound holds whatever comes."""
    backlog = Backlog(FEW)
    backlog.add(_switchings(*range(1_000)))
    assert _taken(backlog) == Batch(_switchings(*range(995, 1_000)), [], None, None, 995, [])


@pytest.mark.parametrize("length", [2_000, 2_001, 100_000])
def test_texts_are_cut_only_beyond_what_an_entry_may_have(length: int) -> None:
    """2,000 characters in all stay as they are."""
    backlog = Backlog(FEW)
    entry = Entry(NOON, 0, True, "", detail="x" * length)
    backlog.add([entry])
    (kept,) = _taken(backlog).entries
    assert (kept == entry) is (length <= 2_000)
    assert len(kept.detail) <= 2_000


def test_an_endless_name_is_cut_harder_than_a_sentence() -> None:
    """What it is about stays readable beside it."""
    backlog = Backlog(FEW)
    backlog.add([Entry(NOON, 0, True, "w" * 5_000, "s" * 5_000, "y" * 5_000, "d" * 1_400)])
    (kept,) = _taken(backlog).entries
    cut = "… (5,000 characters)"
    assert kept[3:7] == ("w" * 100 + cut, "s" * 100 + cut, "y" * 100 + cut, "d" * 1_400)


def test_a_taker_wakes_when_something_is_handed_over() -> None:
    """Nobody polls."""
    backlog = Backlog(FEW)
    batches: list[Batch] = []
    taker = threading.Thread(target=lambda: batches.append(_taken(backlog)))
    taker.start()
    backlog.add(_switchings(1))
    taker.join(timeout=20)
    assert [batch.entries for batch in batches] == [_switchings(1)]


def test_a_pause_is_ended_by_a_question_and_not_by_an_entry() -> None:
    """A disk that has just refused is not tried again for each switching."""
    backlog = Backlog(FEW)
    backlog.add(_switchings(1))
    assert backlog.take(pause_s=0.001).entries  # the pause is over
    answers: list[bool] = []
    taken: list[Batch] = []
    taker = threading.Thread(target=lambda: taken.append(backlog.take(pause_s=1_000)))
    taker.start()
    backlog.add(_switchings(2))
    taker.join(timeout=0.05)
    assert taker.is_alive()
    assert backlog.ask(answers.append)
    taker.join(timeout=20)
    assert [list(batch.entries) for batch in taken] == [_switchings(2)]
    assert [batch.asked for batch in taken] == [[answers.append]]


def test_after_the_end_nothing_is_taken() -> None:
    """What waits can still be taken; new things cannot be added."""
    backlog = Backlog(FEW)
    backlog.add(_switchings(1))
    backlog.close()
    backlog.add(_switchings(2), state="late")
    answers: list[bool] = []
    assert not backlog.ask(answers.append)
    assert answers == []
    assert _taken(backlog) == Batch(_switchings(1), [], None, None, 0, [])
    assert not backlog.take(pause_s=None).has_news  # it does not wait


@pytest.mark.parametrize(
    ("batch", "has_news"),
    [
        (Batch(), False),
        (Batch(asked=[_ignore]), False),  # a question is no news
        (Batch(state=""), True),  # an empty state is one
        (Batch(zone=""), True),
        (Batch(entries=_switchings(1)), True),
        (Batch(summaries=[_hour(1)]), True),
    ],
)
def test_news_is_what_must_be_written(batch: Batch, has_news: bool) -> None:
    """Nothing is written for nothing."""
    assert batch.has_news is has_news


def test_the_entry_about_lost_ones_tells_how_many_and_why() -> None:
    """It stands where they are missing, at the time of the first that is there."""
    following = switching(7)
    told = lost_entry(1_234, following, "the disk is full")
    assert told[:4] == (following.at, following.tick, True, "entries lost")
    assert told.detail == (
        "1,234 entries before this moment could not be written and did not fit into memory: "
        "the disk is full"
    )
    assert lost_entry(1, following, "").detail.startswith("1 entry before")
