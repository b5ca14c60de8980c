"""Has a plan examined in a process of its own, so that no plan can harm the daemon.

A plan is somebody's text: reading it, walking it through a year and trying it on paper may
take long, or more memory than there is. The daemon meanwhile goes on switching.
"""

from __future__ import annotations

import asyncio
import json
import os
import sys
from asyncio.subprocess import PIPE
from contextlib import suppress
from pathlib import Path
from signal import SIGKILL, SIGXCPU
from typing import TYPE_CHECKING, NamedTuple

import controller
from controller.core.errors import PlanRefusedError
from controller.core.findings import Finding
from controller.core.units import shown
from controller.shell.files import reason_of
from controller.shell.plan_store.examination import Examination

if TYPE_CHECKING:
    from asyncio.subprocess import Process

    from controller.core.units import Instant

_MODULE = "controller.cli.examine_command"
_OUT_OF_MEMORY = 3  # examine_command's exit code
# Fifty-four loads with findings for each make about 100 kB.
_ANSWER_BYTES_MAX = 4 * 1024 * 1024
_COMPLAINT_BYTES_MAX = 64 * 1024


class ExaminerLimits(NamedTuple):
    """What an examination may take.

    A plan of 54 loads takes 1.5 s of a desktop's processor and 80 MB of address space; the
    smallest board that the project runs on is about ten times slower (from memory).
    """

    wall_s: float = 60.0
    cpu_s: int = 45
    memory_bytes: int = 400 * 1024 * 1024


LIMITS = ExaminerLimits()


async def examine(
    data: bytes, *, source: str, now: Instant, days: int = 3, limits: ExaminerLimits = LIMITS
) -> Examination:
    """What there is to say about a plan: findings, and its next days and hottest day on paper.

    Args:
        data: the plan's text as bytes.
        source: its name, for messages.
        now: the instant at which the next days begin.
        days: how many local dates the next days are, today included.
        limits: what the examination may take.

    Raises:
        PlanRefusedError: the plan has errors, or the examination came to no end.
    """
    words = (
        *(f"--source={source}", f"--now={now}", f"--days={days}"),
        *(f"--cpu-s={limits.cpu_s}", f"--memory-bytes={limits.memory_bytes}"),
    )
    try:
        process = await asyncio.create_subprocess_exec(
            *(sys.executable, "-P", "-m", _MODULE, *words),
            stdin=PIPE,
            stdout=PIPE,
            stderr=PIPE,
            env=_environment(),
        )
    except (OSError, ValueError) as error:  # ValueError: a NUL in the source
        raise _refused(
            source,
            f"the plan cannot be examined now: {reason_of(error)}",
            "try again in a minute; if that does not help, free some memory",
        ) from None
    try:
        async with asyncio.timeout(limits.wall_s):
            answer, complaint = await _talk(process, data)
            code = await process.wait()
    except TimeoutError:
        raise _refused(
            source,
            f"examining the plan took longer than {limits.wall_s:g} s and was ended",
            "give loads fewer spans, or cycles longer steps",
        ) from None
    finally:
        await _end(process)
    return _understood(source, code, answer, complaint, limits)


def _environment() -> dict[str, str]:
    """This process's own, with our package where the child finds it, whatever its folder."""
    root = str(Path(controller.__file__).resolve().parents[1])
    paths = [root, *filter(None, [os.environ.get("PYTHONPATH")])]
    return {**os.environ, "PYTHONPATH": os.pathsep.join(paths)}


async def _talk(process: Process, data: bytes) -> tuple[bytes, bytes]:
    """Sends the text and reads answer and complaint, each up to its bound, all at once."""
    assert process.stdin is not None
    assert process.stdout is not None
    assert process.stderr is not None
    answer, complaint, _ = await asyncio.gather(
        _read(process.stdout, _ANSWER_BYTES_MAX),
        _read(process.stderr, _COMPLAINT_BYTES_MAX),
        _send(process.stdin, data),
    )
    return answer, complaint


async def _read(stream: asyncio.StreamReader, size_max: int) -> bytes:
    """All that comes; what is over the bound is read too, so that the writer ends, and left."""
    kept = bytearray()
    while chunk := await stream.read(64 * 1024):
        kept += chunk[: size_max - len(kept)]
    return bytes(kept)


async def _send(stream: asyncio.StreamWriter, data: bytes) -> None:
    # A child that is dead already says so by its exit code.
    with suppress(BrokenPipeError, ConnectionResetError):
        stream.write(data)
        await stream.drain()
    with suppress(BrokenPipeError, ConnectionResetError):
        stream.close()
        await stream.wait_closed()


async def _end(process: Process) -> None:
    """Leaves no child behind, also when whoever waits for it is cancelled."""
    if process.returncode is None:
        with suppress(ProcessLookupError):
            process.kill()
        await process.wait()


def _understood(
    source: str, code: int, answer: bytes, complaint: bytes, limits: ExaminerLimits
) -> Examination:
    megabytes = limits.memory_bytes // (1024 * 1024)
    # Compiled parts (pydantic's) end their process where there is no memory, with these words.
    if code == _OUT_OF_MEMORY or b"memory allocation of" in complaint:
        raise _refused(
            source,
            f"examining the plan needs more than {megabytes} MB of memory",
            "give loads fewer spans and cycles fewer steps",
        )
    if code in {-SIGXCPU, -SIGKILL}:
        # At the end of its processor time the kernel sends either; for want of memory, the
        # second.
        raise _refused(
            source,
            f"examining the plan took more than {limits.cpu_s} s of the processor, or the "
            "memory ran out, and it was ended",
            "give loads fewer spans, or cycles longer steps",
        )
    found = _answer(answer) if code == 0 else None
    if found is None:
        last = complaint.decode("utf-8", "replace").strip().rpartition("\n")[2]
        raise _refused(
            source,
            f"examining the plan failed ({shown(last or f'exit code {code}', 200)}): this is a "
            "fault of rootclock",
            "undo the last change to the plan, and report this with the plan",
        )
    if not found.is_fit:
        raise PlanRefusedError(source, found.findings)
    return found


def _answer(data: bytes) -> Examination | None:
    try:
        return Examination.from_json(json.loads(data))
    except (ValueError, KeyError, TypeError, AttributeError):
        return None


def _refused(source: str, message: str, mend: str) -> PlanRefusedError:
    return PlanRefusedError(source, (Finding("error", "", message, mend),))
