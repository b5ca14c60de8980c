"""The head of a plain CSV weather file: comments that state facts, and named columns."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from difflib import get_close_matches

from controller.core.units import shown
from controller.weather.complaints import Complaints
from controller.weather.csv_vocabulary import DATE, KINDS, TIME, Vocabulary, kind_of
from controller.weather.place import FACTS, Place, read_place

COLUMNS_MAX = 100
COMMENT_LINES_MAX = 200

_FACT = re.compile(r"#\s*(?P<name>[A-Za-z][A-Za-z0-9_ ]{0,40}?)\s*[=:]\s*(?P<text>.*)")


def read_comments(lines: Sequence[str], complaints: Complaints) -> Place:
    """The facts that leading `# name = value` lines state; other comments are passed over."""
    if len(lines) > COMMENT_LINES_MAX:
        complaints.add(
            len(lines),
            "comment",
            found=f"{len(lines)} lines before the header",
            allowed=f"at most {COMMENT_LINES_MAX}",
            mend="remove some of them",
        )
        complaints.raise_if_any()
    texts: dict[str, str] = {}
    places: dict[str, int] = {}
    for number, line in enumerate(lines, 1):
        match = _FACT.fullmatch(line.strip())
        if match is None:
            continue
        name = match["name"].lower().replace(" ", "_")
        if name in FACTS and name not in texts:
            texts[name], places[name] = match["text"], number
            continue
        close = get_close_matches(name, FACTS, 1, 0.8)
        if close:
            complaints.add(
                number,
                "comment",
                found=shown(match["name"]),
                allowed=", ".join(FACTS) + ", each once",
                mend=f"did you mean {close[0]}?" if name != close[0] else "keep one of them",
            )
    return read_place(texts, lines=places, complaints=complaints)


def read_headings(
    cells: Sequence[str], *, line: int, complaints: Complaints
) -> tuple[Vocabulary, list[str]]:
    """The kind of the file, and the names of its columns in their order.

    Raises:
        BadWeatherError: a column is unknown, is there twice, or one that the kind needs is not
            there.
    """
    if len(cells) > COLUMNS_MAX:
        complaints.add(
            line,
            "header",
            found=f"{len(cells)} columns",
            allowed=f"at most {COLUMNS_MAX}: {_all_names()}",
            mend="remove the other columns",
        )
        complaints.raise_if_any()
    names = [cell.strip() for cell in cells]
    if {TIME, DATE} <= set(names):
        complaints.add(
            line,
            "header",
            found=f"{TIME} beside {DATE}",
            allowed=f"{TIME} in a file of hours, {DATE} in a file of days",
            mend="of hours, put the two together like 2026-07-01T06:00:00+02:00; of days, remove "
            f"{TIME}",
        )
        complaints.raise_if_any()
    kind = kind_of(names)
    quantities: dict[str, str] = {}
    for name in names:
        if name not in kind.names:
            _complain_of_heading(name, kind, line, complaints)
            continue
        quantity = kind.quantity_of(name)
        if quantity in quantities:
            complaints.add(
                line,
                name,
                found=f"{name} beside {quantities[quantity]}",
                allowed="each quantity once",
                mend="remove one of the two columns",
            )
        quantities[quantity] = name
    _complain_of_lacks(quantities, names, kind, line, complaints)
    complaints.raise_if_any()
    return kind, names


def _complain_of_lacks(
    quantities: Mapping[str, str],
    names: Sequence[str],
    kind: Vocabulary,
    line: int,
    complaints: Complaints,
) -> None:
    for name, other in kind.pairs.items():
        if name in names and other not in names:
            complaints.add(
                line,
                name,
                found=f"{name} without {other}",
                allowed="both, or neither",
                mend=f"add the column {other}, or remove this one",
            )
    meant = {*quantities, *(kind.likely_quantity(name) for name in names)} - {None}
    if not {kind.stamp, *kind.needed} <= meant or len(meant) < 2:
        complaints.add(
            line,
            "header",
            found=shown(", ".join(names)),
            allowed="; ".join(one.wants for one in KINDS),
            mend="name the columns in the first line that is no comment",
        )


def _complain_of_heading(name: str, kind: Vocabulary, line: int, complaints: Complaints) -> None:
    likely = kind.likely_name(name)
    if ";" in name:
        mend = "part the columns by commas, and write decimals after a point"
    elif likely is not None:
        mend = f"did you mean {likely}?"
    else:
        mend = "remove the column"
    # A column of the other kind tells that the file may be of that kind; several in one tell none.
    is_a_slip = not (likely is None or ";" in name or any(name in one.names for one in KINDS))
    complaints.add(
        line,
        "header",
        found=f"the column {shown(name)}" if name else "a column without a name",
        allowed=f"{', '.join(kind.names)} in {kind.kind}" if is_a_slip else _all_names(),
        mend=mend,
    )


def _all_names() -> str:
    return "; ".join(f"{', '.join(kind.names)} in {kind.kind}" for kind in KINDS)
