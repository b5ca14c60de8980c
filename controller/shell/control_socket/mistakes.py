"""A mistake of our own in the control socket, told where the daemon hears of it."""

from __future__ import annotations

import asyncio


def report(what: str, mistake: BaseException | None) -> None:
    """Tells the loop's handler of a mistake: no request that goes wrong is a reason to end
    the process that waters."""
    told = {"message": what, "exception": mistake}
    asyncio.get_running_loop().call_exception_handler(told)
