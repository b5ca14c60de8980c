"""The rows of a plain CSV file of days.

`date` is a local standard day. A row tells the coolest and the warmest of that day and, where
there is such a column, its humidity, wind, radiation or sunshine (`csv_vocabulary.DAYS`). Days may
be left out, and an empty cell was not measured: FAO-56's own procedures stand in for both, and the
hours are modelled (`whole_days`, `day_course`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple, TypeAlias

from controller.core.errors import BadInstantError
from controller.core.units import DATE_MAX, DATE_MIN, date_of_number, day_number, parse_date, shown
from controller.weather.cells import read_cells
from controller.weather.complaints import Complaints
from controller.weather.csv_vocabulary import DATE, DAYS
from controller.weather.place import Place
from controller.weather.told_day import DayColumn, ToldDay
from controller.weather.weather import ColumnName, MissingRows, Weather

_Quantity: TypeAlias = ColumnName | DayColumn


_DAYS_MAX = day_number(DATE_MAX) - day_number(DATE_MIN) + 1


class _Column(NamedTuple):
    """The cells of one column under its heading, as the file has them and as numbers of ours."""

    heading: str
    texts: list[str]
    values: list[float | None]


class _Order(NamedTuple):
    """Of two quantities of a day, the one that is never more than the other."""

    less: _Quantity
    more: _Quantity
    told: _Quantity  # the quantity of the two that a complaint is about
    found: str  # how it stands to the other where it is wrong
    allowed: str


_ORDERS = (
    _Order("coolest_c", "warmest_c", "warmest_c", "less than the coolest",
           "the coolest of its day or more"),
    _Order("dew_point_c", "warmest_c", "dew_point_c", "more than the warmest",
           "the warmest of its day or less"),
    _Order("humidity_lowest_pct", "humidity_highest_pct", "humidity_lowest_pct",
           "more than the highest", "the highest of its day or less"),
    _Order("humidity_pct", "humidity_highest_pct", "humidity_pct",
           "more than the highest", "the highest of its day or less"),
    _Order("humidity_lowest_pct", "humidity_pct", "humidity_pct",
           "less than the lowest", "the lowest of its day or more"),
)  # fmt: skip

_IS_KNOWN: dict[ColumnName, Callable[[ToldDay], bool]] = {
    "air_temperature_c": lambda day: day.has_temperature,
    "humidity_pct": lambda day: day.has_humidity,
    "wind_m_s": lambda day: day.wind_m_s is not None,
    "global_radiation_w_m2": lambda day: day.has_sun,
}


def daily_weather(
    name: str,
    *,
    headings: Sequence[str],
    rows: Sequence[Sequence[str]],
    lines: Sequence[int],
    place: Place,
    complaints: Complaints,
) -> Weather:
    """The weather in the rows of the file called `name`, each as wide as its headings.

    Raises:
        BadWeatherError: tells line, column, what was found and what is allowed.
    """
    if len(rows) > _DAYS_MAX:
        complaints.add(
            lines[_DAYS_MAX],
            "row",
            found=f"{len(rows):,} rows",
            allowed=f"at most {_DAYS_MAX:,}, one for each day from {DATE_MIN} to {DATE_MAX}",
            mend="keep one row for each day",
        )
        complaints.raise_if_any()
    at = headings.index(DATE)
    numbers = _read_dates([row[at] for row in rows], lines, complaints)
    columns: dict[_Quantity, _Column] = {}
    for index, heading in enumerate(headings):
        if heading != DATE:
            rule, texts = DAYS.rules[heading], [row[index] for row in rows]
            values = read_cells(texts, lines=lines, rule=rule, complaints=complaints)
            columns[rule.column] = _Column(heading, texts, values)
    for order in _ORDERS:
        if order.less in columns and order.more in columns:
            _complain_of_order(order, columns, lines, complaints)
    complaints.raise_if_any()
    all_values = zip(*(column.values for column in columns.values()), strict=True)
    days = tuple(
        ToldDay(number, **dict(zip(columns, values, strict=True)))
        for number, values in zip(numbers, all_values, strict=True)
    )
    return _weather_of(days, f"{name} (plain CSV of days)", place)


def _read_dates(texts: Sequence[str], lines: Sequence[int], complaints: Complaints) -> list[int]:
    numbers: list[int] = []
    for text, line in zip(texts, lines, strict=True):
        if complaints.are_enough(DATE):
            break
        try:
            number = day_number(parse_date(text.strip()))
        except BadInstantError as error:
            complaints.add(
                line,
                DATE,
                found=str(error),
                allowed="dates like 2026-07-01, each later than the one before",
                mend="give every row its own day",
            )
            continue
        if numbers and number <= numbers[-1]:
            complaints.add(
                line,
                DATE,
                found=f"{shown(text.strip())}, not after {date_of_number(numbers[-1])}",
                allowed="dates in order, each later than the one before",
                mend="sort the rows, and keep one for each day",
            )
            continue
        numbers.append(number)
    return numbers


def _complain_of_order(
    order: _Order,
    columns: Mapping[_Quantity, _Column],
    lines: Sequence[int],
    complaints: Complaints,
) -> None:
    """Where two quantities of a row contradict each other; one that is missing contradicts none."""
    less, more = columns[order.less], columns[order.more]
    told, beside = (more, less) if order.told == order.more else (less, more)
    # After too many mistakes in a column the rest of it is not read.
    for index, (low, high) in enumerate(zip(less.values, more.values, strict=False)):
        if low is None or high is None or low <= high:
            continue
        if complaints.are_enough(told.heading):
            break
        complaints.add(
            lines[index],
            told.heading,
            found=f"{shown(told.texts[index].strip())}, {order.found}, "
            f"{shown(beside.texts[index].strip())}",
            allowed=order.allowed,
            mend="look whether the two are in each other's place",
        )


def _weather_of(days: tuple[ToldDay, ...], source: str, place: Place) -> Weather:
    missing = []
    for column, is_known in _IS_KNOWN.items():
        count = sum(not is_known(day) for day in days)
        if count:
            missing.append(MissingRows(column, count, 0, is_absent=count == len(days)))
    return Weather(
        source=source,
        is_typical_year=False,
        stamps=(),
        air_temperature_c=(),
        humidity_pct=(),
        wind_m_s=(),
        global_radiation_w_m2=(),
        pressure_kpa=(),
        latitude=place.latitude,
        longitude=place.longitude,
        elevation_m=place.elevation_m,
        utc_offset_h=place.utc_offset_h,
        wind_height_m=place.wind_height_m,
        missing=tuple(missing),
        days=days,
    )
