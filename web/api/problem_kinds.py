"""What each type of problem means, at the address that the problem names as its type."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path
from starlette.responses import Response

from web.problems import KINDS, Problem
from web.replies import told
from web.shapes.problem import ProblemKind

router = APIRouter(tags=["problems"])


@router.get("/problems/{name}", response_model=ProblemKind)
async def problem_kind(name: Annotated[str, Path(examples=[*KINDS])]) -> Response:
    """What a type of problem means."""
    kind = KINDS.get(name)
    if kind is None:
        raise Problem("not-found", "there is no problem of that name")
    return told({"type": kind.name, "title": kind.title, "status": kind.status})
