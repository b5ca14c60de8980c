"""Strategies for everything that a plan can say; a new field of the plan enters here.

`plans` makes whole plans as `tomllib` would give them, each valid for
`Plan.model_validate`; a test holds that every field of the model occurs in them.
`timeline_plans` are narrower: what decides when a load is on, and nothing else.
"""

from __future__ import annotations

import os
from datetime import UTC, date, datetime, timedelta
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo, available_timezones

from hypothesis import settings
from hypothesis import strategies as st

from tests.places import PLACES, Place

Document = dict[str, Any]  # a plan as TOML reads it

SECOND_MS, MINUTE_MS, HOUR_MS, DAY_MS = 1_000, 60_000, 3_600_000, 86_400_000

ZONES = sorted(name for name in available_timezones() if name not in {"Factory", "localtime"})


def examples(quick: int) -> settings:
    """So many examples in a quick run; as many as a long run asks for in a long one."""
    return settings(max_examples=int(os.environ.get("ROOTCLOCK_EXAMPLES", quick)))


# Lengths


def lengths_ms(
    *, least_ms: int = 1, most_ms: int = 7 * DAY_MS, grain_ms: int = 1
) -> st.SearchStrategy[int]:
    """Lengths in ms, round ones as often as odd ones."""
    whole = [unit for unit in (HOUR_MS, MINUTE_MS, SECOND_MS, 1) if unit % grain_ms == 0]
    return st.one_of(
        [
            _multiples(unit, least_ms=least_ms, most_ms=most_ms)
            for unit in whole
            if -(-least_ms // unit) <= most_ms // unit
        ]
    )


def _multiples(unit_ms: int, *, least_ms: int, most_ms: int) -> st.SearchStrategy[int]:
    counts = st.integers(-(-least_ms // unit_ms), most_ms // unit_ms)
    return counts.map(lambda count: count * unit_ms)


@st.composite
def duration_texts(draw: st.DrawFn, lengths: st.SearchStrategy[int] | None = None) -> str:
    """Durations as people write them: `90s`, `1m30s`, `1h 30m`, `0h15m`."""
    rest_ms = draw(lengths if lengths is not None else lengths_ms())
    parts = []
    for unit_ms, letter in ((HOUR_MS, "h"), (MINUTE_MS, "m")):
        most = {"h": 9_999, "m": 99_999}[letter]
        taken = min(most, rest_ms // unit_ms) if draw(st.booleans()) else 0
        # Seconds have six digits: what is longer needs a greater unit.
        taken = rest_ms // unit_ms if rest_ms - taken * unit_ms > 999_999_000 else taken
        rest_ms -= taken * unit_ms
        if taken or draw(st.integers(0, 9)) == 0:
            parts.append(f"{taken}{letter}")
    if rest_ms or not parts:
        whole, thousandths = divmod(rest_ms, 1_000)
        fraction = f".{thousandths:03}" if thousandths else ""
        parts.append(f"{whole}{fraction.rstrip('0')}s")
    return draw(st.sampled_from(["", "", " "])).join(parts)


# Cycles and anchors


@st.composite
def cycle_texts(
    draw: st.DrawFn,
    *,
    least_ms: int = 1,
    most_ms: int = 36 * HOUR_MS,
    grain_ms: int = 1,
    steps_max: int = 6,
) -> str:
    """Cycles: steady ones, the everyday two steps, several, and all of one state."""
    kind = draw(st.integers(0, 9))
    if kind == 0:
        return draw(st.sampled_from(["on", "off"]))
    lengths = lengths_ms(least_ms=least_ms, most_ms=most_ms, grain_ms=grain_ms)
    if most_ms > 2 * HOUR_MS:
        usual_ms = max(least_ms, MINUTE_MS)
        lengths |= lengths_ms(least_ms=usual_ms, most_ms=2 * HOUR_MS, grain_ms=grain_ms)
    if kind <= 4:
        first, second = draw(st.permutations(["on", "off"]))
        states = [first, second]
    else:
        states = draw(st.lists(st.sampled_from(["on", "off"]), min_size=1, max_size=steps_max))
    comma = draw(st.sampled_from([", ", ",", " , "]))
    return comma.join(f"{draw(duration_texts(lengths))} {state}" for state in states)


@st.composite
def clock_texts(draw: st.DrawFn) -> str:
    """Times of the day; those that clock changes skip and repeat come often."""
    hour = draw(st.one_of(st.integers(0, 23), st.sampled_from([0, 1, 2, 3, 23])))
    minute = draw(st.one_of(st.sampled_from([0, 1, 15, 30, 45, 59]), st.integers(0, 59)))
    second = draw(st.one_of(st.none(), st.sampled_from([0, 1, 59])))
    return f"{hour:02}:{minute:02}" + ("" if second is None else f":{second:02}")


@st.composite
def anchor_texts(
    draw: st.DrawFn, *, lamps: tuple[str, ...] = (), grain_ms: int = 1, offset_ms_max: int = DAY_MS
) -> str:
    """Moments of the day: clock times, sun events, changes of lamps; some with an offset."""
    bases: list[st.SearchStrategy[str]] = [
        clock_texts(),
        st.sampled_from(["sunrise", "sunset", "sunrise", "sunset", "dawn", "dusk"]),
    ]
    if lamps:
        changes = [f"{lamp} {state}" for lamp in lamps for state in ("on", "off")]
        bases += [st.sampled_from(changes)] * 2
    base = draw(st.one_of(bases))
    if draw(st.booleans()):
        return base
    most_ms = min(offset_ms_max, 12 * HOUR_MS)
    lengths = st.one_of(
        lengths_ms(least_ms=0, most_ms=most_ms, grain_ms=grain_ms),
        st.sampled_from([30 * MINUTE_MS, HOUR_MS, 12 * HOUR_MS]),
    )
    sign = draw(st.sampled_from([" + ", " - ", "+", "-"]))
    return f"{base}{sign}{draw(duration_texts(lengths))}"


_demand_bounds: st.SearchStrategy[Document] = st.fixed_dictionaries(
    {"longest_rest": duration_texts(lengths_ms(least_ms=10 * MINUTE_MS, most_ms=2 * HOUR_MS))},
    optional={
        "shortest_rest": duration_texts(lengths_ms(least_ms=5_000, most_ms=10 * MINUTE_MS)),
        "shortest_watering": duration_texts(lengths_ms(least_ms=5_000, most_ms=5 * MINUTE_MS)),
        "longest_watering": duration_texts(
            lengths_ms(least_ms=5 * MINUTE_MS, most_ms=10 * MINUTE_MS)
        ),
    },
)


@st.composite
def span_lists(
    draw: st.DrawFn,
    *,
    lamps: tuple[str, ...] = (),
    grain_ms: int = 1,
    least_ms: int = 1,
    spans_max: int = 4,
) -> list[Document]:
    """One list of spans, in any order, starts that coincide included."""
    spans: list[Document] = []
    for _ in range(draw(st.integers(1, spans_max))):
        cycle = draw(cycle_texts(least_ms=least_ms, grain_ms=grain_ms))
        span = {"from": draw(anchor_texts(lamps=lamps, grain_ms=grain_ms)), "cycle": cycle}
        if draw(st.integers(0, 7)) == 0:
            span |= {"cycle": "demand", "fixed": cycle} | draw(_demand_bounds)
        spans.append(span)
    if draw(st.integers(0, 3)) == 0:  # two that always start together
        cycle = draw(cycle_texts(least_ms=least_ms, grain_ms=grain_ms))
        spans.append({"from": spans[0]["from"], "cycle": cycle})
    return spans


# Places and moments


@st.composite
def sites(draw: st.DrawFn) -> Document:
    """Named places, any point with any zone, and points close to the polar circles and poles."""
    kind = draw(st.integers(0, 3))
    if kind <= 1:
        place = draw(st.sampled_from(PLACES))
    else:
        side = draw(st.sampled_from([-1, 1]))
        latitude = (
            draw(st.floats(-90, 90)) if kind == 2 else side * draw(st.floats(65, 90, width=32))
        )
        zone = draw(st.sampled_from(ZONES))
        place = Place("anywhere", latitude, draw(st.floats(-180, 180)), zone)
    return {
        "latitude": place.latitude,
        "longitude": place.longitude,
        "timezone": place.timezone,
    }


@cache
def clock_changes(timezone: str, year: int) -> tuple[int, ...]:
    """Seconds since 1970 before which, within an hour, the zone's clocks are moved."""
    zone = ZoneInfo(timezone)
    begin = int(datetime(year, 1, 1, tzinfo=UTC).timestamp())
    hours = range(begin, begin + 366 * 86_400, 3_600)
    offsets = [datetime.fromtimestamp(second, zone).utcoffset() for second in hours]
    return tuple(hours[i] for i in range(1, len(hours)) if offsets[i] != offsets[i - 1])


@st.composite
def moments(draw: st.DrawFn, timezone: str, *, years: tuple[int, int] = (1971, 2198)) -> int:
    """Instants in whole seconds, as ms; often within two days of a change of the clocks."""
    year = draw(st.one_of(st.integers(*years), st.integers(max(1971, years[0]), 2040)))
    changes = clock_changes(timezone, year) if draw(st.booleans()) else ()
    if changes:
        middle = draw(st.sampled_from(changes))
        return (middle + draw(st.integers(-2 * 86_400, 2 * 86_400))) * SECOND_MS
    begin = int(datetime(year, 1, 1, tzinfo=UTC).timestamp())
    return (begin + draw(st.integers(0, 365 * 86_400))) * SECOND_MS


@st.composite
def local_dates(draw: st.DrawFn, timezone: str, *, years: tuple[int, int] = (1971, 2037)) -> date:
    """Dates, often on or beside a change of the zone's clocks."""
    instant = draw(moments(timezone, years=years))
    day = datetime.fromtimestamp(instant // SECOND_MS, UTC).date()
    return day + timedelta(days=draw(st.integers(-1, 1)))


# Plans


@st.composite
def timeline_plans(
    draw: st.DrawFn, *, grain_ms: int = 1, least_ms: int = 20_000, follow: bool = True
) -> Document:
    """Plans with a site and spans; the second load may follow the first, the third both."""
    loads: Document = {}
    names = ["lamp", "lamp-2", "pump"][: draw(st.integers(1, 3))] if follow else ["pump"]
    for place, name in enumerate(names):
        spans = draw(span_lists(lamps=tuple(names[:place]), grain_ms=grain_ms, least_ms=least_ms))
        kind = "pump" if name == "pump" else "lamp"
        loads[name] = {"kind": kind, "line": place, "active": "low", "spans": spans}
    return {"format": 1, "site": draw(sites()), "loads": loads}


def _maybe(draw: st.DrawFn, table: Document, key: str, values: st.SearchStrategy[Any]) -> None:
    if draw(st.sampled_from([True, True, True, False])):
        table[key] = draw(values)


_LETTERS = "ABCXYZabcxyz"
_NAMES = st.builds(
    "".join,
    st.tuples(st.sampled_from(_LETTERS), st.text(f"{_LETTERS}0123456789_-", max_size=39)),
)
_CONTACTS = ("normally-open", "normally-closed")
_QUANTITIES = (
    "air_temperature",
    "humidity",
    "water_temperature",
    "light",
    "level",
    "flow",
    "leak",
    "stop",
)


@st.composite
def _variants(draw: st.DrawFn, *, sensors: Document, lamps: tuple[str, ...]) -> list[Document]:
    variants = []
    readings = [
        name
        for name, sensor in sensors.items()
        if sensor["measures"] in {"air_temperature", "humidity", "water_temperature", "light"}
    ]
    for place in range(draw(st.sampled_from([0, 1, 2]))):
        variant: Document = {"name": f"variant {place}"}
        if bool(readings) and draw(st.sampled_from([True, True, False])):
            border = draw(st.floats(-20, 60))
            width = draw(st.floats(0.5, 10))
            variant["sensor"] = draw(st.sampled_from(readings))
            hot = draw(st.booleans())
            variant["above" if hot else "below"] = border
            variant["until"] = border - width if hot else border + width
            _maybe(draw, variant, "at_least", duration_texts(lengths_ms(most_ms=DAY_MS)))
        else:
            variant["by_hand"] = True
        variant["spans"] = draw(span_lists(lamps=lamps, spans_max=2, least_ms=5_000))
        variants.append(variant)
    return variants


def _named(sensors: Document, quantity: str) -> list[str]:
    return [name for name, sensor in sensors.items() if sensor["measures"] == quantity]


@st.composite
def _loads(
    draw: st.DrawFn, *, kind: str, line: int, sensors: Document, lamps: tuple[str, ...]
) -> Document:
    load: Document = {
        "kind": kind,
        "line": line,
        "active": draw(st.sampled_from(["low", "high"])),
        "spans": draw(span_lists(lamps=lamps, least_ms=5_000)),
    }
    _maybe(draw, load, "contact", st.sampled_from(_CONTACTS))
    _maybe(draw, load, "mains", st.booleans())
    _maybe(draw, load, "watts", st.floats(0, 20_000))
    _maybe(draw, load, "longest_on", duration_texts(lengths_ms(least_ms=10 * MINUTE_MS)))
    _maybe(draw, load, "shortest_on", duration_texts(lengths_ms(least_ms=0, most_ms=5_000)))
    _maybe(draw, load, "shortest_off", duration_texts(lengths_ms(least_ms=0, most_ms=5_000)))
    _maybe(draw, load, "when_stopped", st.sampled_from(["on", "off"]))
    _maybe(draw, load, "without_clock", cycle_texts(least_ms=5_000))
    _maybe(draw, load, "contact_life", st.integers(1_000, 1_000_000_000))
    if kind == "pump":
        if _named(sensors, "level"):
            _maybe(draw, load, "level", st.sampled_from(_named(sensors, "level")))
        if _named(sensors, "flow"):
            _maybe(draw, load, "flow", st.sampled_from(_named(sensors, "flow")))
            _maybe(draw, load, "flow_within", duration_texts(lengths_ms(most_ms=HOUR_MS)))
    _maybe(draw, load, "variants", _variants(sensors=sensors, lamps=lamps))
    _maybe(
        draw,
        load,
        "limits",
        st.fixed_dictionaries(
            {},
            optional={
                "longest_dry_gap": duration_texts(),
                "starts_per_day": st.integers(0, 86_400),
                "on_per_day": duration_texts(lengths_ms(most_ms=DAY_MS)),
                "energy_per_month_kwh": st.floats(0, 1e6),
            },
        ),
    )
    return load


_FINITE = st.floats(allow_nan=False, allow_infinity=False)


@st.composite
def _sensors(draw: st.DrawFn, measures: str) -> Document:
    """A sensor read from a file, from a line, or known only in a dry run."""
    sensor: Document = {"measures": measures}
    _maybe(draw, sensor, "stale_after", duration_texts(lengths_ms(least_ms=1_000)))
    _maybe(draw, sensor, "every", duration_texts(lengths_ms(least_ms=1_000)))
    source = draw(st.sampled_from(["file", "line", ""]))
    if source == "file":
        sensor["file"] = draw(
            st.sampled_from(["/sys/class/hwmon/hwmon0/temp1_input", "/run/air", "/ö \u2028'\""])
        )
        _maybe(draw, sensor, "scale", _FINITE)
        _maybe(draw, sensor, "offset", _FINITE)
    elif source == "line":
        sensor["line"] = draw(st.integers(0, 53))
        _maybe(draw, sensor, "contact", st.sampled_from(_CONTACTS))
        _maybe(draw, sensor, "pull", st.sampled_from(["up", "down"]))
        _maybe(draw, sensor, "debounce", duration_texts(lengths_ms(least_ms=0)))
        _maybe(draw, sensor, "pulses_per_litre", st.floats(1e-3, 1e6))
    return sensor


@st.composite
def _guards(draw: st.DrawFn, *, sensors: Document) -> Document:
    guards: Document = {}
    _maybe(draw, guards, "starts_together", st.integers(1, 54))
    _maybe(draw, guards, "starts_apart", duration_texts(lengths_ms(most_ms=MINUTE_MS)))
    _maybe(draw, guards, "watts_at_once", st.floats(1, 100_000))
    for key, quantity in (("leak", "leak"), ("stop_switch", "stop")):
        if _named(sensors, quantity):
            _maybe(draw, guards, key, st.sampled_from(_named(sensors, quantity)))
    return guards


_FITTINGS = (
    *("elbow", "elbow_45", "bend", "tee_through", "tee_branch", "valve", "gate_valve"),
    *("globe_valve", "check_valve", "entrance", "exit", "barb", "reducer", "strainer"),
    "drip_manifold",
)
_CURVES = st.sampled_from(
    [[[1000, 0.0], [700, 1.0], [0, 2.0]], [[0, 3], [400, 0]], [[1.5, 0], [0.25, 0.5], [0, 0.5]]]
)


@st.composite
def _lifts(draw: st.DrawFn) -> Document:
    """A pump by its label or by its curve, and a hose that reaches the top."""
    height_m = draw(st.floats(0, 30))
    lift: Document = {
        "height_m": height_m,
        "hose_bore_mm": draw(st.floats(1, 200)),
        "hose_length_m": draw(st.floats(height_m, 1_000)),
    }
    if draw(st.booleans()):
        lift["curve"] = draw(_CURVES)
    else:
        lift["shut_off_head_m"] = draw(st.floats(0.05, 100))
        lift["free_flow_l_per_h"] = draw(st.floats(1, 100_000))
    _maybe(draw, lift, "hose_roughness_mm", st.floats(0, 0.05))
    _maybe(draw, lift, "loss_coefficient", st.floats(0, 10_000))
    counts = {name: st.integers(0, 100) for name in _FITTINGS}
    _maybe(draw, lift, "fittings", st.fixed_dictionaries({}, optional=counts))
    return lift


@st.composite
def _reservoirs(draw: st.DrawFn) -> Document:
    inlet_at_l = draw(st.floats(0, 40))
    tank: Document = {"full_l": draw(st.floats(50, 100_000)), "inlet_at_l": inlet_at_l}
    _maybe(draw, tank, "top_up_at_l", st.floats(inlet_at_l, 49))
    _maybe(draw, tank, "losses_l_per_day", st.floats(0, 1_000))
    _maybe(draw, tank, "ec_ms_per_cm", st.floats(0, 20))
    _maybe(draw, tank, "ppm_scale", st.sampled_from([500, 640, 700]))
    _maybe(draw, tank, "water_c", st.floats(0.5, 45))
    return tank


@st.composite
def _stands(draw: st.DrawFn, *, loads: Document, sensors: Document) -> Document:
    """Plants that a pump or valve of the plan waters, in any of the three places."""
    waterers = [name for name, load in loads.items() if load["kind"] in {"pump", "valve"}]
    lamps = [name for name, load in loads.items() if load["kind"] == "lamp"]
    places = ["outdoors", "under-glass", *(["under-lamps"] * 2 if lamps else [])]
    place = draw(st.sampled_from(places))
    medium = draw(st.sampled_from(["expanded-clay", "mineral-wool", "bare-roots"]))
    stand: Document = {
        "watered_by": draw(st.sampled_from(waterers)),
        "plants": draw(st.integers(1, 10_000)),
        "medium": medium,
        "place": place,
        "plants_per_m2": draw(st.floats(1, 400)),
    }
    if draw(st.booleans()):
        stand["age_days"] = draw(st.integers(0, 120))
    else:
        day = draw(st.dates(date(1971, 1, 1), date(2198, 1, 1)))
        stand["sown"] = day if draw(st.booleans()) else day.isoformat()
    if medium != "bare-roots":
        stand["medium_ml"] = draw(st.floats(1, 5_000))
    if place == "under-lamps":
        stand["lamp"] = draw(st.sampled_from(lamps))
        stand["ppfd_umol"] = draw(st.floats(1, 2_500))
        _maybe(draw, stand, "air_c", st.floats(0, 50))
        _maybe(draw, stand, "humidity_pct", st.floats(5, 100))
    else:
        _maybe(draw, stand, "light_share", st.floats(0.01, 1))
    if place != "outdoors":
        _maybe(draw, stand, "air_speed_m_s", st.floats(0.05, 5))
    for key, quantity in (("air", "air_temperature"), ("humidity", "humidity")):
        if _named(sensors, quantity):
            _maybe(draw, stand, key, st.sampled_from(_named(sensors, quantity)))
    _maybe(draw, stand, "drip_ml_per_min", st.floats(0.1, 10_000))
    _maybe(draw, stand, "reserve", st.floats(0, 0.9))
    return stand


@st.composite
def _energies(draw: st.DrawFn) -> Document:
    """One price, or prices by the time of day."""
    energy: Document = {"currency": draw(st.sampled_from(["EUR", "CHF", "kr"]))}
    if draw(st.booleans()):
        return energy | {"price_per_kwh": draw(st.floats(0, 1000))}
    minutes = draw(st.lists(st.integers(0, 1439), min_size=1, max_size=4, unique=True))
    energy["tariff"] = [
        {"from": f"{at // 60:02}:{at % 60:02}", "price_per_kwh": draw(st.floats(0, 1000))}
        for at in minutes
    ]
    return energy


@st.composite
def plans(draw: st.DrawFn, *, loads_max: int = 4) -> Document:
    """Whole plans with any of the fields that a plan can have."""
    site = draw(sites())
    _maybe(draw, site, "elevation_m", st.one_of(st.floats(-500, 6000), st.integers(-500, 6000)))
    coolest = draw(st.floats(-60, 40))
    warmest = draw(st.floats(coolest, 60))
    _maybe(draw, site, "typical_day", st.just({"coolest_c": coolest, "warmest_c": warmest}))
    loads_count, sensors_count = (
        draw(st.integers(1, loads_max)),
        draw(st.sampled_from([8, 5, 3, 0])),
    )
    count = loads_count + sensors_count
    names = draw(st.lists(_NAMES, min_size=count, max_size=count, unique=True))
    first = draw(st.integers(0, len(_QUANTITIES) - 1))
    sensors: Document = {}
    for place, name in enumerate(names[loads_count:]):
        sensors[name] = draw(_sensors(_QUANTITIES[(first + 3 * place) % len(_QUANTITIES)]))
    lines = draw(
        st.lists(st.integers(0, 53), min_size=loads_count, max_size=loads_count, unique=True)
    )
    loads: Document = {}
    lamps: tuple[str, ...] = ()
    for name, line in zip(names[:loads_count], lines, strict=True):
        kind = draw(st.sampled_from([*["pump"] * 5, "lamp", "lamp", "fan", "valve", "heater"]))
        loads[name] = draw(_loads(kind=kind, line=line, sensors=sensors, lamps=lamps))
        lamps += (name,) if kind == "lamp" else ()
    order = draw(st.permutations(list(loads)))
    plan: Document = {"format": 1, "site": site, "loads": {name: loads[name] for name in order}}
    if sensors:
        plan["sensors"] = sensors
    waterers = [load for load in loads.values() if load["kind"] in {"pump", "valve"}]
    has_stands = draw(st.booleans())
    if waterers and has_stands:
        stands = _stands(loads=loads, sensors=sensors)
        plan["stands"] = draw(st.dictionaries(_NAMES, stands, min_size=1, max_size=2))
        plan["reservoirs"] = {"tank": draw(_reservoirs())}
        for load in waterers:
            _maybe(draw, load, "reservoir", st.just("tank"))
            if load["kind"] == "pump":
                _maybe(draw, load, "lift", _lifts())
    _maybe(draw, plan, "guards", _guards(sensors=sensors))
    _maybe(
        draw,
        plan,
        "energy",
        _energies(),
    )
    _maybe(
        draw,
        plan,
        "limits",
        st.fixed_dictionaries(
            {},
            optional={
                "energy_per_month_kwh": st.floats(0, 1e6),
                "cost_per_month": st.floats(0, 1e9),
                "watts_at_once": st.floats(0, 1e6),
            },
        ),
    )
    return plan
