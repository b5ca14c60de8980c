"""Work that is done to its end once it has begun, whoever gives up waiting for it."""

from __future__ import annotations

import asyncio
from contextlib import suppress
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from collections.abc import Coroutine

T = TypeVar("T")


async def undisturbed(work: Coroutine[Any, Any, T]) -> T:
    """Does the work, and is cancelled only when it is done.

    So a lock that the caller holds is held until then, and half of a write is nobody's doing.
    """
    task = asyncio.ensure_future(work)
    try:
        return await asyncio.shield(task)
    except asyncio.CancelledError:
        while not task.done():
            with suppress(asyncio.CancelledError):  # once more: it is passed on below
                await asyncio.wait({task})
        if not task.cancelled():
            task.exception()  # nobody is there to be told
        raise
