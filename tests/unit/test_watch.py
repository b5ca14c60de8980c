"""What is looked after once a second."""

from __future__ import annotations

import asyncio

from controller.daemon.watch import Watch
from tests.stage.virtual_loop import run_virtually


def test_the_watchdog_is_fed_only_while_all_is_well() -> None:
    """Every duty is done each time, whatever another one found."""

    async def watched() -> tuple[list[float], list[str]]:
        loop = asyncio.get_running_loop()
        fed: list[float] = []
        done: list[str] = []

        def relays() -> bool:
            done.append("relays")
            return loop.time() < 2.5 or loop.time() > 4.5

        def the_loop() -> bool:
            done.append("loop")
            return True

        watch = Watch([relays, the_loop], lambda: fed.append(loop.time()))
        watch.start()
        await asyncio.sleep(5.5)
        watch.close()
        watch.close()
        await asyncio.sleep(5)
        return fed, done

    fed, done = run_virtually(watched())
    assert fed == [0.0, 1.0, 2.0, 5.0]
    assert done == ["relays", "loop"] * 6
