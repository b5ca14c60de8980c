"""The examples that come with the package: plans, and the weather that goes with one of them."""

from __future__ import annotations

from difflib import get_close_matches
from importlib.resources import files

from controller.core.errors import UnusableFileError
from controller.core.units import shown

_FOLDER = files("controller").joinpath("examples")
_PLAN, _WEATHER = ".toml", ".csv"


def example_names() -> list[str]:
    """The names of the examples, in the order of the alphabet; a weather file's ends in .csv."""
    names = (item.name for item in _FOLDER.iterdir())
    return sorted(name.removesuffix(_PLAN) for name in names if name.endswith((_PLAN, _WEATHER)))


def example_text(name: str) -> str:
    """The text of an example.

    Raises:
        UnusableFileError: there is no such example.
    """
    names = example_names()
    if name not in names:
        close = get_close_matches(name, names, 1)
        hint = f" (did you mean {close[0]}?)" if close else ""
        raise UnusableFileError(f"no example {shown(name)}{hint}; there are {', '.join(names)}")
    file_name = name if name.endswith(_WEATHER) else f"{name}{_PLAN}"
    return _FOLDER.joinpath(file_name).read_text(encoding="utf-8")


def example_title(name: str) -> str:
    """What the example is about: the first line of its comment."""
    return example_text(name).partition("\n")[0].lstrip("# ").rstrip()
