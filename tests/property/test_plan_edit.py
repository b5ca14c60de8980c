"""Edits by chance: the plan changes as asked, and every other line stays as it was."""

from __future__ import annotations

import copy
import re
import tomllib
from collections import Counter
from collections.abc import Sequence
from typing import Any, NamedTuple

import pytest
from hypothesis import event, given
from hypothesis import strategies as st

from controller.core.errors import BadRequestError, PlanRefusedError
from controller.core.plan_text.keys import Key, key_at, keys, model_at
from controller.core.plan_text.place import Place, dotted
from controller.shell.examples import example_text
from tests.plan_edits import add_item, add_table, move, remove, rename, set_value
from tests.plan_texts import COLUMNS, PLAN, SMALLEST
from tests.strategies import Document, examples

# One line holds all, or braces hold what headers hold elsewhere; the comments stay too.
INLINE = """\
# everything on few lines
format = 1
site.latitude = 47.1    # dotted
site.longitude = 8.3
site.timezone = "Europe/Zurich"
loads.pump = { kind = "pump", line = 17, active = "low", watts = 22, spans = [{from = "06:00", cycle = "15m on, 15m off"}, {from = "20:00", cycle = "off"}] } # all
loads.lamp.kind = "lamp"
loads.lamp.line = 27
loads.lamp.active = "low"
loads.lamp.spans = [
    # first the morning
    { from = "05:00", cycle = "on" }, { from = "12:00", cycle = "off" },
    # then the evening
    { from = "18:00", cycle = "on" } # no comma here
    ]
"""  # noqa: E501 - a long line is the point

# Tables that do not follow each other, no blank lines, no line end at the end.
SCATTERED = """\
format = 1
[loads.pump]
# the pump, once
kind = "pump"
line = 17
active = "low"
[site]
latitude = 47.1
# the site goes on
longitude = 8.3
timezone = "Europe/Zurich"
[[loads.pump.spans]]
from = "06:00"
cycle = "15m on, 15m off"
# still of the first span

# of nobody

# of the second span
[[loads.pump.spans]]
from = "20:00"
cycle = "off"
[sensors.float]
measures = "level"
[loads.lamp]
kind = "lamp"
line = 9
active = "low"
spans = [{ from = "00:00", cycle = "on" }]"""

TEXTS = {
    "of everything": PLAN,
    "columns": COLUMNS,
    "the smallest": SMALLEST,
    "few lines": INLINE,
    "scattered tables": SCATTERED,
    "Windows line ends": PLAN.replace("\n", "\r\n"),
    "a greenhouse": example_text("greenhouse"),
}

VALUES: dict[str, list[Any]] = {
    "number": [5, 28.5, 40],
    "whole": [4, 96],
    "truth": [True],
    "word": ["on", "off", "low", "high", "pump", "lamp", "level", "air_temperature"],
    "name": ["float", "air"],
    "duration": ["10m", "2s", "45m"],
    "cycle": ["15m on, 5m off", "10m on, 45m off", "off", "on"],
    "cycle or demand": ["15m on, 5m off", "10m on, 45m off", "off", "demand"],
    "anchor": ["06:00", "sunset + 1h", "lamp on", "pump on"],
    "clock": ["06:00", "23:30"],
    "date": ["2026-05-01"],
    "points": [[[900, 0.0], [0, 2.5]], [[0, 3], [200, 2.5], [400, 0]]],
    "text": ["Europe/Oslo", 'a "name"', "ö"],
}
ANY_VALUE = [value for values in VALUES.values() for value in values]
SPAN: dict[str, Any] = {"from": "13:00", "cycle": "10m on, 50m off"}
VARIANT: dict[str, Any] = {
    "name": "cold",
    "sensor": "air",
    "below": 3.0,
    "until": 6.0,
    "spans": [SPAN, {"from": "20:00", "cycle": "off"}],
}
TABLES: dict[str, dict[str, Any]] = {
    "sensors.new": {"measures": "humidity"},
    "loads.new": {
        "kind": "fan",
        "line": 6,
        "active": "low",
        "spans": [SPAN],
        "limits": {"starts_per_day": 50},
        "variants": [VARIANT],
    },
    "guards": {"watts_at_once": 200.0},
    "energy": {"price_per_kwh": 0.3, "currency": "kr"},
    "stands.new": {
        "watered_by": "pump",
        "plants": 12,
        "age_days": 20,
        "medium": "bare-roots",
        "place": "outdoors",
        "plants_per_m2": 25,
    },
    "reservoirs.new": {"full_l": 40, "inlet_at_l": 5},
    "loads.pump.lift": {
        "height_m": 1.2,
        "curve": [[900, 0.0], [0, 2.5]],
        "hose_bore_mm": 13,
        "hose_length_m": 2,
        "fittings": {"elbow": 1},
    },
    "limits": {"cost_per_month": 20},
    "loads.pump.limits": {"longest_dry_gap": "2h"},
    "loads.lamp.limits": {"on_per_day": "20h"},
    "site.typical_day": {"coolest_c": 5, "warmest_c": 20},
}


class Edit(NamedTuple):
    """What was asked for, and what it makes of the text and of the document."""

    name: str
    text: str
    document: Document


def _places(value: Any, place: Place = ()) -> list[Place]:
    found: list[Place] = [place] if place else []
    items: Any = value.items() if isinstance(value, dict) else ()
    for key, one in enumerate(value) if isinstance(value, list) else items:
        found += _places(one, (*place, key))
    return found


def _holder(document: Document, place: Place) -> Any:
    holder: Any = document
    for part in place[:-1]:
        holder = holder.setdefault(part, {}) if isinstance(holder, dict) else holder[part]
    return holder


def _values(place: Place) -> st.SearchStrategy[Any]:
    """Values for a key: mostly such as it takes."""
    key = key_at(place)
    fitting = VALUES.get(key.kind, ANY_VALUE) if key is not None else ANY_VALUE
    return st.one_of(st.sampled_from(fitting), st.sampled_from(fitting), st.sampled_from(ANY_VALUE))


def _edit(text: str, data: st.DataObject) -> Edit:
    """One edit of any kind, at any place that there is or could be.

    Raises:
        BadRequestError: the place does not suit.
        PlanRefusedError: the plan would break a rule.
    """
    document = tomllib.loads(text)
    places = _places(document)
    name = data.draw(
        st.sampled_from(["set", "set new", "item", "table", "remove", "move", "rename"])
    )
    if name == "move":
        done = _move(text, document, data)
    elif name == "rename":
        done = _rename(text, document, data)
    elif name == "set":
        scalars = [p for p in places if (k := key_at(p)) is not None and not k.holds]
        place = data.draw(st.sampled_from(scalars if data.draw(st.booleans()) else places))
        value = data.draw(_values(place))
        done = set_value(text, dotted(place), value)
        _holder(document, place)[place[-1]] = value
    elif name == "set new":
        tables = [p for p in [(), *places, ("guards",), ("limits",)] if model_at(p) is not None]
        table = data.draw(st.sampled_from(tables))
        key = data.draw(st.sampled_from(sorted(keys()[model_at(table) or "Plan"])))
        value = data.draw(_values((*table, key)))
        done = set_value(text, dotted((*table, key)), value)
        _holder(document, (*table, key))[key] = value
    elif name == "item":
        lists = [(*p, key) for p in places for key in ("spans", "variants")]
        known = [p for p in lists if (k := key_at(p)) is not None and k.kind == "tables"]
        place = data.draw(st.sampled_from(known))
        holder = _holder(document, place)
        items = holder.setdefault(place[-1], []) if isinstance(holder, dict) else []
        index = data.draw(st.integers(0, len(items)))
        item: dict[str, Any] = SPAN if place[-1] == "spans" else VARIANT
        done = add_item(text, dotted(place), index, item)
        items.insert(index, copy.deepcopy(item))
    elif name == "table":
        where = data.draw(st.sampled_from(sorted(TABLES)))
        done = add_table(text, where, TABLES[where])
        parts = tuple(where.split("."))
        _holder(document, parts)[parts[-1]] = copy.deepcopy(TABLES[where])
    else:
        place = data.draw(st.sampled_from(places))
        done = remove(text, dotted(place))
        del _holder(document, place)[place[-1]]
    return Edit(name, done, document)


def _move(text: str, document: Document, data: st.DataObject) -> str:
    lists = [p for p in _places(document) if (k := key_at(p)) is not None and k.kind == "tables"]
    place = data.draw(st.sampled_from(lists))
    items = _holder(document, place)[place[-1]]
    numbers = st.integers(0, len(items))  # one too many at times
    index, to = data.draw(numbers), data.draw(numbers)
    done = move(text, dotted(place), index, to)
    if text.endswith("\n"):
        assert move(done, dotted(place), to, index) == text
    items.insert(to, items.pop(index))
    return done


def _rename(text: str, document: Document, data: st.DataObject) -> str:
    kind = data.draw(st.sampled_from(["loads", "sensors", "stands", "reservoirs"]))
    old = data.draw(st.sampled_from([*document.get(kind, {}), "nobody"]))
    name = data.draw(st.sampled_from(["tower", "zone-2", "float", "lamp"]))
    done = rename(text, f"{kind}.{old}", name)
    document[kind] = {name if one == old else one: held for one, held in document[kind].items()}
    for place in _places(document):
        holder, key = _holder(document, place), key_at(place)
        value = holder[place[-1]]
        if key is not None and key.kind == "name" and value == old and kind == _named_by(key):
            holder[place[-1]] = name
        if key is not None and kind == "loads" and key.kind == "anchor":
            holder[place[-1]] = re.sub(rf"^{re.escape(old)} (?=on|off)", f"{name} ", value)
    return done


def _named_by(key: Key) -> str:
    """Which family of tables a key's name is one of."""
    if key.name in {"watered_by", "lamp"}:
        return "loads"
    return "reservoirs" if key.name == "reservoir" else "sensors"


def _comments(text: str) -> Counter[str]:
    return Counter(comment for line in text.splitlines() if (comment := line.partition("#")[2]))


def _without_empty(value: Any) -> Any:
    """A document without tables that hold nothing: whether one is left behind depends on
    how it was written."""
    if isinstance(value, dict):
        inner = {key: _without_empty(one) for key, one in value.items()}
        return {key: one for key, one in inner.items() if one not in ({}, [])}
    return [_without_empty(one) for one in value] if isinstance(value, list) else value


def _is_subsequence(few: Sequence[str], many: Sequence[str]) -> bool:
    rest = iter(many)
    return all(line in rest for line in few)


def _changed_part(old: list[str], new: list[str]) -> tuple[list[str], list[str]]:
    """What is left of two lists of lines without their common beginning and end."""
    while old and new and old[0] == new[0]:
        old, new = old[1:], new[1:]
    while old and new and old[-1] == new[-1]:
        old, new = old[:-1], new[:-1]
    return old, new


def _assert_all_else_stays(name: str, old_text: str, new_text: str) -> None:
    old, new = _changed_part(old_text.splitlines(), new_text.splitlines())
    if name != "remove":
        assert _comments(new_text) == _comments(old_text)
    if name == "move":
        assert Counter("".join(new).replace(" ", "")) == Counter("".join(old).replace(" ", ""))
    elif name == "rename":
        assert len(old) == len(new)
    elif name == "set":
        assert len(old) == len(new) <= 1
    elif name == "remove":
        # Lines go; one may stay in part, where braces or brackets lost something.
        assert len(new) <= 1 or _is_subsequence(new, old)
    else:
        # Lines come; one may have been added to.
        assert len(old) <= 1 or _is_subsequence(old, new)
    ends = "\r\n" in old_text
    assert new_text.count("\r\n") == (new_text.count("\n") if ends else 0)


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS)
@given(st.data())
@examples(60)
def test_an_edit_changes_what_was_asked_for_and_nothing_else(
    text: str, data: st.DataObject
) -> None:
    """Up to four edits on end: the document is as asked, all other lines are as before."""
    for _ in range(data.draw(st.integers(1, 4))):
        try:
            edit = _edit(text, data)
        except (BadRequestError, PlanRefusedError) as refusal:
            event(f"refused: {type(refusal).__name__}")
            continue
        event(edit.name)
        assert _without_empty(tomllib.loads(edit.text)) == _without_empty(edit.document)
        _assert_all_else_stays(edit.name, text, edit.text)
        text = edit.text
