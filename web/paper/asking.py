"""One job asked of a worker's process, and what its answer comes to."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, Any

from controller.core.errors import PaperError
from web.paper.frames import frame_of, next_answer
from web.problems import Problem

if TYPE_CHECKING:
    from asyncio.subprocess import Process
    from collections.abc import Callable, Mapping

_MISTAKE = 1  # exit code of a Python program that did not expect something


async def answer_to(
    worker: Process,
    job: Mapping[str, Any],
    within_s: float,
    on_progress: Callable[[float], None] = lambda _: None,
) -> Any:
    """What the process answers within so many seconds; `on_progress` as for a dry run.

    Raises:
        PaperError: it took too long, or ended before its answer.
        Problem: it met a mistake of ours.
    """
    if worker.stdin is None or worker.stdout is None:
        raise PaperError("the worker was started without a way to talk to it")
    try:
        async with asyncio.timeout(within_s):
            worker.stdin.write(frame_of(job))
            await worker.stdin.drain()
            while "progress" in (answer := await next_answer(worker.stdout)):
                on_progress(answer["progress"])
            return answer
    except TimeoutError:
        raise PaperError(
            f"trying the plan on paper took longer than {within_s:g} s and was ended: ask for "
            "fewer days, or give loads fewer spans"
        ) from None
    except (asyncio.IncompleteReadError, ConnectionError):
        if await worker.wait() == _MISTAKE:  # it has told the log which
            text = (
                "trying the plan on paper failed: this is a fault of rootclock, and its log tells"
            )
            raise Problem("our-mistake", text) from None
        raise PaperError(
            "trying the plan on paper came to no end, most likely for want of memory: ask for less"
        ) from None


def result_of(answer: Mapping[str, Any]) -> Any:
    """The result that an answer tells.

    Raises:
        PaperError: it tells that the job was too much.
        Problem: it tells why the job was refused.
    """
    if "result" in answer:
        return answer["result"]
    if "too_much" in answer:
        raise PaperError(answer["too_much"])
    more = {key: answer[key] for key in ("findings", "complaints", "about") if key in answer}
    raise Problem("plan-refused" if "findings" in more else "unfit", answer["refused"], **more)
