"""Edits of one change each, for tests that look at what becomes of the text."""

from __future__ import annotations

from controller.core.plan_edit.edit import Change, edited


def set_value(text: str, where: str, value: object) -> str:
    """The text with one value set."""
    return edited(text, [Change("set", where, value)]).text


def add_table(text: str, where: str, table: object) -> str:
    """The text with one more table."""
    return edited(text, [Change("add", where, table)]).text


def add_item(text: str, where: str, index: int, item: object) -> str:
    """The text with one more item in a list."""
    return edited(text, [Change("add", where, item, index)]).text


def remove(text: str, where: str) -> str:
    """The text without what stands at a place."""
    return edited(text, [Change("remove", where)]).text


def move(text: str, where: str, index: int, to: int) -> str:
    """The text with an item of a list at another number."""
    return edited(text, [Change("move", where, None, index, to)]).text


def rename(text: str, where: str, name: object) -> str:
    """The text in which a load or sensor has another name."""
    return edited(text, [Change("rename", where, name)]).text
