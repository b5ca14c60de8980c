"""The kernel's timers and clocks as this machine has them: real time, by the tenth of a second."""

from __future__ import annotations

import asyncio
import time

from controller.shell.clock.board_clock import BoardClock, kernel_boot
from controller.shell.clock.trust import ClockTrust, vouched


def clock(*, is_trusted: bool = True) -> BoardClock:
    """A clock of this machine."""
    trust = ClockTrust((vouched,) if is_trusted else (), note=None, kernel_boot="x")
    return BoardClock(trust)


def test_it_sleeps_until_the_tick_and_never_less() -> None:
    """A switching is never early."""

    async def sleeps() -> list[int]:
        board = clock()
        early: list[int] = []
        for length_ms in (0, 1, 5, 20):
            wake = board.read()[1] + length_ms
            await board.sleep_until(wake)
            early.append(max(0, wake - board.read()[1]))
        board.close()
        return early

    assert asyncio.run(sleeps()) == [0, 0, 0, 0]


def test_a_message_ends_the_sleep() -> None:
    """The sleep of a week ends when somebody asks."""

    async def woken() -> bool:
        board = clock()
        asyncio.get_running_loop().call_soon(board.wake_up)
        await asyncio.wait_for(board.sleep_until(board.read()[1] + 604_800_000), 5)
        board.close()
        return True

    assert asyncio.run(woken())


def test_it_tells_the_time_of_day() -> None:
    """To within the time that asking takes."""

    async def away_ms() -> float:
        board = clock()
        now, tick = board.read()
        away = max(abs(time.time() * 1000 - now), abs(board.exact_tick_ms() - tick))
        board.close()
        return away

    assert asyncio.run(away_ms()) < 100


def test_trust_ends_the_sleep_once() -> None:
    """The plan is joined as soon as the clock is believed."""

    async def wakes() -> tuple[bool, bool]:
        board = clock()
        board.look_at_trust()
        await asyncio.wait_for(board.sleep_until(10**15), 5)
        board.look_at_trust()
        with_news = board.is_trusted
        sleep = asyncio.ensure_future(board.sleep_until(10**15))
        done, _ = await asyncio.wait({sleep}, timeout=0.05)
        sleep.cancel()
        board.close()
        return with_news, not done

    assert asyncio.run(wakes()) == (True, True)


def test_a_boot_has_one_name() -> None:
    """Asked twice it is the same."""
    assert kernel_boot() == kernel_boot() != ""
