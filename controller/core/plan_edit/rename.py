"""Giving a load, sensor, stand or reservoir another name, wherever the plan names it."""

from __future__ import annotations

import re
import tomllib
from typing import TYPE_CHECKING, NamedTuple

from controller.core.anchor import LoadChange, parse_anchor
from controller.core.errors import BadAnchorError, BadRequestError
from controller.core.plan_edit.write import key_in_toml, scalar_in_toml
from controller.core.plan_text.keys import key_at
from controller.core.plan_text.place import dotted
from controller.core.plan_text.scan import Shape
from controller.core.plan_text.tokens import tokens_of
from controller.core.units import shown

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.plan_edit.layout import Layout
    from controller.core.plan_text.place import Place
    from controller.core.plan_text.scan import Mark

# The families of tables under names, and the keys whose values are such a name. An anchor
# names a load as well.
_NAMED: dict[str, tuple[str, ...]] = {
    "loads": ("watered_by", "lamp"),
    "sensors": ("sensor", "level", "flow", "leak", "stop_switch", "air", "humidity"),
    "reservoirs": ("reservoir",),
    "stands": (),
}
_FIRST_WORD = re.compile(r"\s*([A-Za-z0-9_-]+)")


class _Swap(NamedTuple):
    """Text that takes the place of another."""

    start: int
    end: int
    text: str


def rename(layout: Layout, place: Place, name: object) -> str:
    """The text in which the load, sensor, stand or reservoir at a place has another name, and
    all that refers to it as well: anchors such as `pump on`, guards, levels, flows, variants.

    Raises:
        BadRequestError: there is none at the place, the name is taken or none at all.
    """
    kind, old = _named(layout, place)
    if not isinstance(name, str) or not name:
        raise BadRequestError(f"{dotted(place)}: {shown(name)} is no name to give it")
    if name == old:
        return layout.text
    if layout.within((kind, name)):
        raise BadRequestError(f"the plan has {dotted((kind, name))} already: choose another name")
    swaps = [*_keys(layout, (kind, old), name), *_references(layout, kind, old, name)]
    pieces = []
    done = 0
    for swap in sorted(swaps):
        pieces += [layout.text[done : swap.start], swap.text]
        done = swap.end
    return "".join([*pieces, layout.text[done:]])


def _named(layout: Layout, place: Place) -> tuple[str, str]:
    if len(place) == 2 and place[0] in _NAMED and layout.within(place):
        return str(place[0]), str(place[1])
    raise BadRequestError(
        f"{dotted(place)} is no load, sensor, stand or reservoir of the plan: only these are "
        "renamed"
    )


def _keys(layout: Layout, place: Place, name: str) -> Iterator[_Swap]:
    """The last key of a place, in every header and pair that spells it out."""
    for mark in layout.within(place):
        if mark.shape is Shape.ELEMENT:
            continue
        spelt = list(_key_tokens(layout.text, mark))
        if mark.shape in {Shape.TABLE, Shape.ITEM}:
            number = len(place) - 1  # a header spells out every key, and no list is above these
        else:
            number = len(place) - 1 - (len(mark.place) - len(spelt))
        if 0 <= number < len(spelt):
            start, end = spelt[number]
            yield _Swap(start, end, key_in_toml(name))


def _key_tokens(text: str, mark: Mark) -> Iterator[tuple[int, int]]:
    """Where each key stands that a header or pair spells out."""
    end = mark.end if mark.shape in {Shape.TABLE, Shape.ITEM} else mark.value
    for kind, key_start, key_end in zip(*tokens_of(text[mark.start : end]), strict=True):
        if kind in {"bare", "string"}:
            yield mark.start + key_start, mark.start + key_end
        elif kind == "=":
            return


def _references(layout: Layout, kind: str, old: str, name: str) -> Iterator[_Swap]:
    for mark in layout.marks:
        key = key_at(mark.place) if mark.shape in {Shape.PAIR, Shape.INNER} else None
        is_anchor = key is not None and key.kind == "anchor" and kind == "loads"
        is_name = key is not None and key.kind == "name" and key.name in _NAMED[kind]
        if not is_anchor and not is_name:
            continue
        written = layout.text[mark.value : mark.end]
        value = tomllib.loads(f"value = {written}")["value"]
        if not isinstance(value, str):
            continue
        told = _renamed_anchor(value, old, name) if is_anchor else name if value == old else None
        if told is not None:
            yield _Swap(mark.value, mark.end, _as_written(written, value, told))


def _renamed_anchor(text: str, old: str, name: str) -> str | None:
    """An anchor that follows the load, with its new name; None for any other."""
    try:
        base = parse_anchor(text).base
    except BadAnchorError:  # the plan's reader will tell of it
        return None
    word = _FIRST_WORD.match(text)
    if not isinstance(base, LoadChange) or base.load != old or word is None:
        return None
    return text[: word.start(1)] + name + text[word.end(1) :]


def _as_written(written: str, value: str, told: str) -> str:
    """The new text between the quotes that the old one stood in, where those can hold it."""
    quote = written[0]
    if written == f"{quote}{value}{quote}":
        candidate = f"{quote}{told}{quote}"
        if _reads_as(candidate, told):
            return candidate
    return scalar_in_toml(told)


def _reads_as(written: str, value: str) -> bool:
    try:
        return bool(tomllib.loads(f"value = {written}")["value"] == value)
    except tomllib.TOMLDecodeError:
        return False
