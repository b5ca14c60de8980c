"""The application as a whole: what is promised about its routes holds for each of them."""

from __future__ import annotations

import ast
import re
from pathlib import Path
from typing import Any

import pytest

import web.app
from controller.core.errors import RequestRefusedError
from controller.core.messages.codes import ErrorCode
from web.app import create_app
from web.problems import KINDS, Problem, problem_of
from web.settings import Settings

ROOT = Path(__file__).resolve().parents[2]
DESCRIBED = create_app(Settings(Path("nowhere.sock"))).openapi()
ALLOWED = (
    "controller.core",
    "controller.dry_run",
    "controller.paper",
    "controller.report",
    "controller.weather",
    "controller.shell.control_socket.async_client",
)


def _operations() -> list[tuple[str, str, Any]]:
    return [
        (method, path, operation)
        for path, methods in DESCRIBED["paths"].items()
        for method, operation in methods.items()
    ]


@pytest.mark.parametrize(("method", "path", "operation"), _operations())
def test_each_route_is_told_where_people_look(method: str, path: str, operation: Any) -> None:
    """In the words at the head of `web/app.py`, which page and probes are written by."""
    short = path.removeprefix("/api/v1")
    doc = web.app.__doc__ or ""
    name = re.sub(r"\{\w+\}", "", short).rstrip("/")
    assert name in doc, f"{method} {path}"
    assert operation["description"]
    problems = operation["responses"]["4XX"]["content"]
    assert list(problems) == ["application/problem+json"]


def test_the_page_imports_what_it_may() -> None:
    """Of the controller: the core, what works on paper, and one way to talk to it."""
    wrong = []
    for path in sorted((ROOT / "web").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            module = (node.module or "") if isinstance(node, ast.ImportFrom) else ""
            if module.startswith("controller.") and not module.startswith(ALLOWED):
                wrong.append(f"{path.name} imports {module}")
    assert wrong == []


@pytest.mark.parametrize("code", list(ErrorCode))
def test_whatever_the_controller_refuses_is_a_problem(code: ErrorCode) -> None:
    """Of a kind that is described, with its own words."""
    problem = problem_of(RequestRefusedError(code, "because"))
    assert problem.kind.name in KINDS
    assert problem.as_json()["detail"] == "because"
    assert problem.response().media_type == "application/problem+json"


def test_findings_travel_with_a_refused_plan() -> None:
    """And data of any other shape does not break the answer."""
    finding = {"level": "error"}
    refused = RequestRefusedError(ErrorCode.PLAN_REFUSED, "no", {"findings": [finding]})
    assert problem_of(refused).as_json()["findings"] == [finding]
    others: tuple[object, ...] = (None, [], "x", 7, {"protocol": 2})
    for data in others:
        assert "findings" not in problem_of(RequestRefusedError(-1, "no", data)).as_json()


def test_who_has_to_wait_is_told_how_long() -> None:
    """Retry-After (RFC 9110, section 10.2.3)."""
    assert Problem("busy", "later").response().headers["retry-after"] == "2"
    told = Problem("too-many-tries", "later", retry_after_s=17).response()
    assert told.headers["retry-after"] == "17"
