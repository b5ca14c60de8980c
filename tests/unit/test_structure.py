"""Which way imports point, what the core may touch, and how long files and functions are.

All of it is read from the sources by `ast`; a new file is under these rules as it appears.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("controller", "web")
NOT_OURS = {".git", "venv", "build", "dist", "node_modules", "__pycache__"}
TOOLS_OWN = re.compile(
    r"\.(?:venv|mypy_cache|ruff_cache|pytest_cache|hypothesis|coverage).*|.*\.egg-info"
)

FILE_LINES_MAX = 400
FUNCTION_LINES_MAX = 60

# The core is told everything: it has no clock, file, thread, socket or log of its own.
CORE_MAY_IMPORT = {
    "__future__", "bisect", "codecs", "collections", "copy", "dataclasses", "datetime", "difflib",
    "enum", "fractions", "functools", "heapq", "itertools", "json", "math", "operator", "re",
    "statistics", "string", "tomllib", "typing", "zoneinfo",
}  # fmt: skip
CORE_MAY_NOT_CALL = {
    "now", "today", "utcnow", "sleep", "open", "print", "input", "eval", "exec", "monotonic",
    "perf_counter", "time_ns", "read_text", "write_text", "read_bytes", "write_bytes",
}  # fmt: skip

# Each outside library has one home: a file, a folder, or files of one name's beginning.
HOMES = {
    "astral": ["controller/core/sun.py"],
    "tomlkit": ["controller/core/plan_edit/write.py"],
    "pydantic": [
        "controller/core/plan",
        "controller/dry_run/fault",
        "web/shapes/",
    ],  # text comes in
    "pydantic_core": ["controller/core/plan", "controller/dry_run/fault"],
    "tqdm": ["controller/cli/progress.py"],
    "sqlite3": ["controller/shell/journal"],
    "gpiozero": ["controller/shell/board/"],
    "asyncinotify": ["controller/shell/plan_store/watch.py"],
    "fastapi": ["web/"],
    "starlette": ["web/"],
    "uvicorn": ["web/"],
    "jinja2": ["web/"],
}


class Import(NamedTuple):
    """One import: from which file, of which module; wherever it stands, for types alone or not."""

    importer: str
    module: str
    line: int

    def __str__(self) -> str:
        return f"{self.importer}:{self.line} imports {self.module}"


class Source(NamedTuple):
    """A source file by its path from the root, as text and as a tree."""

    path: str
    text: str
    tree: ast.Module

    @property
    def module(self) -> str:
        """Its dotted name."""
        return self.path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")


@cache
def sources() -> tuple[Source, ...]:
    """Every Python file of the packages."""
    paths = sorted(path for package in PACKAGES for path in (ROOT / package).rglob("*.py"))
    return tuple(
        Source(path.relative_to(ROOT).as_posix(), text, ast.parse(text))
        for path in paths
        for text in [path.read_text(encoding="utf-8")]
    )


@cache
def modules() -> frozenset[str]:
    """The dotted names of our own modules."""
    return frozenset(source.module for source in sources())


class _Imports(ast.NodeVisitor):
    """Collects the imports of one file."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.found: list[Import] = []

    def _add(self, module: str, line: int) -> None:
        self.found.append(Import(self.source.path, module, line))

    def visit_Import(self, node: ast.Import) -> None:
        for alias in node.names:
            self._add(alias.name, node.lineno)

    def visit_ImportFrom(self, node: ast.ImportFrom) -> None:
        assert node.level == 0, f"{self.source.path}:{node.lineno} imports relatively"
        module = node.module or ""
        for alias in node.names:
            inner = f"{module}.{alias.name}"
            self._add(inner if inner in modules() else module, node.lineno)


@cache
def imports_of(source: Source) -> tuple[Import, ...]:
    """Every import of a file."""
    visitor = _Imports(source)
    visitor.visit(source.tree)
    return tuple(visitor.found)


@cache
def imports() -> tuple[Import, ...]:
    """Every import of the packages."""
    return tuple(one for source in sources() for one in imports_of(source))


def assert_none(broken: Iterator[object]) -> None:
    """What breaks a rule, as lines that name the place; there must be none."""
    lines = sorted(str(one) for one in broken)
    assert lines == []


def is_core(path: str) -> bool:
    """Whether a file belongs to the core."""
    return path.startswith("controller/core/")


# Directions


def test_there_is_something_to_read() -> None:
    """The rules below hold over all files, so there must be files."""
    assert "controller.core.timeline" in modules()
    assert any(one.module == "astral.sun" for one in imports())
    for_types, in_function = "controller/core/stands.py", "controller/daemon/clients.py"
    assert (for_types, "controller.core.plan") in {one[:2] for one in imports()}
    assert (in_function, "controller.daemon.answers") in {one[:2] for one in imports()}


def test_the_core_imports_the_core_and_pure_parts_of_the_standard_library() -> None:
    """Outside libraries in their homes excepted; see the next test but one."""
    assert_none(
        one
        for one in imports()
        if is_core(one.importer)
        and not one.module.startswith("controller.core")
        and one.module.partition(".")[0] not in CORE_MAY_IMPORT | set(HOMES)
    )


def test_the_controller_never_imports_the_page() -> None:
    """The daemon keeps the pump's time without a web framework."""
    assert_none(
        one
        for one in imports()
        if one.importer.startswith("controller/") and one.module.partition(".")[0] == "web"
    )


def test_each_outside_library_has_one_home() -> None:
    """A library that is missing here needs a home; one outside of its home needs a reason."""
    assert_none(
        one
        for one in imports()
        for library in [one.module.partition(".")[0]]
        if (library in HOMES or library not in {*sys.stdlib_module_names, *PACKAGES})
        and not one.importer.startswith(tuple(HOMES.get(library, ["nowhere"])))
    )


def test_in_the_core_pydantic_is_where_text_becomes_a_plan() -> None:
    """`plan.py` and its neighbours; nothing that decides knows of it."""
    assert_none(
        one
        for one in imports()
        if is_core(one.importer)
        and one.module.partition(".")[0] == "pydantic"
        and not re.fullmatch(r"controller/core/plan(?:_\w+/\w+)?\.py", one.importer)
    )


@pytest.mark.parametrize(
    ("folder", "may_import"),
    [
        ("controller/shell/", ("core", "shell", "weather", "step")),
        ("controller/weather/", ("core", "weather")),
        ("controller/dry_run/", ("core", "dry_run", "weather", "step")),
        ("controller/paper/", ("core", "dry_run", "paper", "weather")),
        ("controller/advice/", ("advice", "core", "dry_run", "paper", "weather")),
        ("controller/report/", ("advice", "core", "dry_run", "report", "weather")),
        ("controller/daemon/", ("core", "daemon", "dry_run", "shell", "weather", "step")),
    ],
)
def test_layers_import_downwards(folder: str, may_import: tuple[str, ...]) -> None:
    """What is wired together is wired by the command line; imports of types alone count too."""
    allowed = {f"controller.{name}" for name in may_import}
    assert_none(
        one
        for one in imports()
        if one.importer.startswith(folder)
        and one.module.startswith("controller.")
        and room(one.module) not in allowed
    )


def room(module: str) -> str:
    """The folder in `controller` that a module is in, or the package it belongs to."""
    return ".".join(module.split(".")[: 2 if module.startswith("controller.") else 1])


def rings(graph: dict[str, set[str]]) -> list[str]:
    """The ways that lead from a node back to itself, each as a text; one a ring suffices."""
    done: set[str] = set()
    found: list[str] = []

    def walk(node: str, path: tuple[str, ...]) -> None:
        if node in path:
            found.append(" > ".join((*path[path.index(node) :], node)))
        elif node not in done:
            for following in sorted(graph[node]):
                walk(following, (*path, node))
            done.add(node)

    for node in sorted(graph):
        walk(node, ())
    return found


def imports_between(name_of: Callable[[str], str]) -> dict[str, set[str]]:
    """Which of our modules import which, by a name that may stand for many of them; imports of
    types alone and those inside of functions count."""
    graph: dict[str, set[str]] = {name_of(module): set() for module in modules()}
    for source in sources():
        importer = name_of(source.module)
        for one in imports_of(source):
            if one.module in modules() and name_of(one.module) != importer:
                graph[importer].add(name_of(one.module))
    return graph


def test_rings_are_found() -> None:
    """The search tells a way down, of which two may meet, from one that comes back."""
    assert rings({"a": {"b", "c"}, "b": {"d"}, "c": {"d"}, "d": set()}) == []
    assert rings({"a": {"b"}, "b": {"c"}, "c": {"b"}}) == ["b > c > b"]


def test_no_module_imports_itself_through_others() -> None:
    """Nor does it know the types of what is built on it."""
    assert rings(imports_between(str)) == []


def test_no_room_imports_itself_through_others() -> None:
    """Folders are stairs: what two of them share lies in one below both."""
    assert rings(imports_between(room)) == []


# What the core may do


def _calls(source: Source) -> Iterator[tuple[str, int]]:
    """The last name of everything that is called, and where."""
    for node in ast.walk(source.tree):
        if isinstance(node, ast.Call):
            name = node.func
            if isinstance(name, ast.Attribute):
                yield name.attr, node.lineno
            elif isinstance(name, ast.Name):
                yield name.id, node.lineno


def test_the_core_asks_no_clock_and_touches_no_file() -> None:
    """It is told the instant; `now` is an argument there, never a call."""
    assert_none(
        f"{source.path}:{line} calls {name}"
        for source in sources()
        if is_core(source.path)
        for name, line in _calls(source)
        if name in CORE_MAY_NOT_CALL
    )


def test_the_core_has_no_asynchronous_function() -> None:
    """Nothing there waits."""
    waiting = (ast.AsyncFunctionDef, ast.Await, ast.AsyncFor, ast.AsyncWith, ast.Global)
    assert_none(
        f"{source.path}:{node.lineno}"
        for source in sources()
        if is_core(source.path)
        for node in ast.walk(source.tree)
        if isinstance(node, waiting)
    )


def test_no_error_is_swallowed() -> None:
    """No bare except, and none that only passes."""
    assert_none(
        f"{source.path}:{node.lineno}"
        for source in sources()
        for node in ast.walk(source.tree)
        if isinstance(node, ast.ExceptHandler)
        and (node.type is None or all(isinstance(line, ast.Pass) for line in node.body))
    )


# Sizes and names


def test_no_file_is_longer_than_it_may_be() -> None:
    """One idea a file; tests included."""
    texts = {source.path: source.text for source in sources()}
    for path in (ROOT / "tests").rglob("*.py"):
        texts[path.relative_to(ROOT).as_posix()] = path.read_text(encoding="utf-8")
    lines = {path: text.count("\n") for path, text in texts.items()}
    assert {
        path: n for path, n in lines.items() if n > FILE_LINES_MAX and "tests/" not in path
    } == {}
    assert {path: n for path, n in lines.items() if n > 2 * FILE_LINES_MAX} == {}


def test_no_function_is_longer_than_it_may_be() -> None:
    """From its first line to its last, docstring included."""
    assert_none(
        f"{source.path}:{node.lineno} {node.name} has {(node.end_lineno or 0) - node.lineno + 1}"
        for source in sources()
        for node in ast.walk(source.tree)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and (node.end_lineno or 0) - node.lineno + 1 > FUNCTION_LINES_MAX
    )


# Written so that this file does not hold what it looks for.
_FORBIDDEN = re.compile(
    "|".join(
        [
            r"(?<![\w.])/(?:wor" + r"k|roo" + r"t|hom" + r"e|User" + r"s)/\w",
            r"(?<![\w.])/tm" + r"p/\w",
            r"[A-Z]:\\\\User" + r"s",
        ]
    )
)


def text_files() -> Iterator[tuple[str, str]]:
    """Every text file of the repository; caches, builds and what others installed excepted."""
    stack = [ROOT]
    while stack:
        for path in sorted(stack.pop().iterdir()):
            if path.name in NOT_OURS or TOOLS_OWN.fullmatch(path.name):
                continue
            if path.is_symlink():
                continue
            if path.is_dir():
                stack.append(path)
                continue
            data = path.read_bytes()
            if b"\0" not in data:
                yield path.relative_to(ROOT).as_posix(), data.decode("utf-8")


def test_no_file_names_a_path_of_somebody_s_machine() -> None:
    """Paths are relative, or where systemd and the FHS put things."""
    assert_none(
        f"{path}:{number} {line.strip()[:80]}"
        for path, text in text_files()
        for number, line in enumerate(text.splitlines(), 1)
        if _FORBIDDEN.search(line)
    )


def test_no_pattern_repeats_a_group_possessively() -> None:
    """Python 3.11.2, Debian 12's, matches such groups wrongly; later ones do not."""
    offending = [
        path.relative_to(ROOT).as_posix()
        for path in sorted((ROOT / "controller").rglob("*.py"))
        if re.search(r"\)[*+?]\+|\(\?>", path.read_text(encoding="utf-8"))
    ]
    assert offending == []
