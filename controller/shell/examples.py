"""The example plans that come with the package."""

from __future__ import annotations

from difflib import get_close_matches
from importlib.resources import files

from controller.core.errors import UnusableFileError
from controller.core.units import shown

_FOLDER = files("controller").joinpath("examples")


def example_names() -> list[str]:
    """The names of the example plans, in the order of the alphabet."""
    names = (item.name for item in _FOLDER.iterdir())
    return sorted(name.removesuffix(".toml") for name in names if name.endswith(".toml"))


def example_text(name: str) -> str:
    """The text of an example plan.

    Raises:
        UnusableFileError: there is no such example.
    """
    names = example_names()
    if name not in names:
        close = get_close_matches(name, names, 1)
        hint = f" (did you mean {close[0]}?)" if close else ""
        raise UnusableFileError(f"no example {shown(name)}{hint}; there are {', '.join(names)}")
    return _FOLDER.joinpath(f"{name}.toml").read_text(encoding="utf-8")


def example_title(name: str) -> str:
    """What the example is about: the first line of its comment."""
    return example_text(name).partition("\n")[0].lstrip("# ").rstrip()
