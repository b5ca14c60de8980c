"""Random gardens and what befalls them, for tests that drive `decide` through both.

A garden is a plan of up to four loads with every guard now and then; a happening is the
name of something that a `Driver` does, with what it is told.
"""

from __future__ import annotations

from typing import Any, NamedTuple, TypeAlias

from hypothesis import strategies as st

from controller.core.orders import AlarmCode
from controller.core.plan import Plan
from tests.worlds import Driver, load, ms, on_demand, plan_of, stand

Happening: TypeAlias = tuple[str, tuple[Any, ...], dict[str, Any]]

NAMES = ("north", "south", "east", "west")
# Lengths of steps as growers write them, and odd ones whose borders fall anywhere.
_LENGTHS = ("1m", "5m", "7m30s", "15m", "45m", "20s", "61s")
_ENDLESS = "24h"


class _Bounds(NamedTuple):
    """What a load's own bounds leave for its cycles; `longest_on` None where it has none."""

    shortest_on: str = "1s"
    shortest_off: str = "1s"
    longest_on: str | None = None

    def on(self) -> tuple[str, ...]:
        """Lengths of waterings that keep them, to the very edge."""
        most = self.longest_on or _ENDLESS
        edges = (self.shortest_on, *([self.longest_on] if self.longest_on else []))
        return tuple(
            text
            for text in (*_LENGTHS, *edges)
            if max(1, ms(self.shortest_on)) <= ms(text) <= ms(most)
        )

    def off(self) -> tuple[str, ...]:
        """Lengths of rests that keep them."""
        edges = (self.shortest_off,)
        return tuple(
            text for text in (*_LENGTHS, *edges) if ms(text) >= max(1, ms(self.shortest_off))
        )


@st.composite
def _cycles(draw: st.DrawFn, bounds: _Bounds, *, waters: bool = False) -> str:
    """A cycle that a load with these bounds may have; `waters` forbids one that is off for ever."""
    kinds = ["two", "two", "reversed", "four", "four"]
    kinds += [] if waters else ["off"]
    kinds += [] if bounds.longest_on else ["on"]
    kind = draw(st.sampled_from(kinds))
    if kind in {"on", "off"}:
        return kind
    ons, offs = st.sampled_from(bounds.on()), st.sampled_from(bounds.off())
    if kind == "reversed":
        return f"{draw(offs)} off, {draw(ons)} on"
    pairs = [f"{draw(ons)} on, {draw(offs)} off" for _ in range(1 if kind == "two" else 2)]
    return ", ".join(pairs)


_ANCHORS = ("00:00", "00:07", "00:20", "01:00", "02:30", "06:00", "sunrise", "sunset")
_SENSORS = {
    "float": {"measures": "level", "stale_after": "20m"},
    "meter": {"measures": "flow", "stale_after": "20m"},
    "floor": {"measures": "leak", "stale_after": "20m"},
    "button": {"measures": "stop", "stale_after": "20m"},
    "air": {"measures": "air_temperature", "stale_after": "20m"},
}


@st.composite
def _spans(draw: st.DrawFn, anchor: str, bounds: _Bounds, *, may_demand: bool) -> dict[str, str]:
    if may_demand and draw(st.integers(0, 3)) == 0:
        return on_demand(
            anchor,
            shortest_rest=max(draw(st.sampled_from(("20s", "5m"))), bounds.shortest_off, key=ms),
            longest_rest=draw(st.sampled_from(("7m30s", "45m"))),
            shortest_watering=min("3m", bounds.longest_on or _ENDLESS, key=ms),
            longest_watering=min("20m", bounds.longest_on or _ENDLESS, key=ms),
            fixed=draw(_cycles(bounds, waters=True)),
        )
    return {"from": anchor, "cycle": draw(_cycles(bounds))}


@st.composite
def _span_lists(draw: st.DrawFn, bounds: _Bounds, *, may_demand: bool) -> list[dict[str, str]]:
    anchors = draw(st.lists(st.sampled_from(_ANCHORS), min_size=1, max_size=3, unique=True))
    return [draw(_spans(anchor, bounds, may_demand=may_demand)) for anchor in sorted(anchors)]


@st.composite
def _variants(draw: st.DrawFn, bounds: _Bounds, *, may_demand: bool) -> list[dict[str, object]]:
    hot = {"name": "hot", "sensor": "air", "above": 30.0, "until": 27.0}
    cold = {"name": "cold", "sensor": "air", "below": 10.0, "until": 13.0}
    hotter = {"name": "hotter", "sensor": "air", "above": 35.0, "until": 29.0}
    by_hand = {"name": "deluge", "by_hand": True}
    made = []
    for variant in draw(st.lists(st.sampled_from((hot, cold, hotter, by_hand)), max_size=3)):
        if variant not in made:
            made.append(variant)
    return [
        {
            **variant,
            **({} if "by_hand" in variant else {"at_least": draw(st.sampled_from(("0s", "30m")))}),
            "spans": draw(_span_lists(bounds, may_demand=may_demand)),
        }
        for variant in made
    ]


@st.composite
def _loads(draw: st.DrawFn) -> dict[str, object]:
    keys: dict[str, object] = {}
    if draw(st.booleans()):
        keys["watts"] = draw(st.sampled_from((0.1, 0.2, 22.0, 60.0, 100.0)))
    stated: dict[str, str] = {}
    for key, lengths in (
        ("longest_on", ("10m", "45m", "100s")),
        ("shortest_on", ("0s", "5s", "90s")),
        ("shortest_off", ("0s", "5s", "6m")),
    ):
        if draw(st.booleans()):
            stated[key] = draw(st.sampled_from(lengths))
    bounds = _Bounds(**stated)
    keys |= stated
    if draw(st.booleans()):
        keys["without_clock"] = draw(_cycles(bounds))
    if draw(st.integers(0, 2)) == 0:
        keys["level"] = "float"
    if draw(st.integers(0, 2)) == 0:
        keys |= {"flow": "meter", "flow_within": draw(st.sampled_from(("30s", "2m")))}
    kind = draw(st.sampled_from(("pump", "pump", "valve", "lamp", "fan", "heater")))
    waters = kind in {"pump", "valve"}
    return load(kind=kind, **keys) | {
        "spans": draw(_span_lists(bounds, may_demand=waters)),
        "variants": draw(_variants(bounds, may_demand=waters)),
    }


_STANDS: st.SearchStrategy[dict[str, Any]] = st.sampled_from(
    (
        {},
        {"air": None},  # by sun and season
        {"age_days": 10, "medium": "bare-roots", "medium_ml": None},
        {"place": "under-glass", "air": None},
    )
)


_ROOM = {"air_c": 24.0, "humidity_pct": 60.0, "ppfd_umol": 220.0}


@st.composite
def _stands(draw: st.DrawFn, watered_by: str, lamps: list[str]) -> dict[str, Any]:
    """Under one of the lamps now and then, where there are any."""
    if bool(lamps) and draw(st.booleans()):
        air = draw(st.sampled_from((None, "air")))
        lamp = draw(st.sampled_from(lamps))
        return stand(watered_by, place="under-lamps", lamp=lamp, air=air, **_ROOM)
    return stand(watered_by, **draw(_STANDS))


@st.composite
def gardens(draw: st.DrawFn) -> Plan:
    """Plans whose cycles, guards and sensors meet in every way."""
    names = NAMES[: draw(st.integers(1, 4))]
    guards: dict[str, object] = {}
    if draw(st.booleans()):
        guards["starts_apart"] = draw(st.sampled_from(("10s", "3m")))
        guards["starts_together"] = draw(st.integers(1, 2))
    if draw(st.booleans()):
        guards["watts_at_once"] = draw(st.sampled_from((100.0, 122.3, 160.0)))
    if draw(st.booleans()):
        guards["leak"] = "floor"
    if draw(st.booleans()):
        guards["stop_switch"] = "button"
    loads = {name: draw(_loads()) for name in names}
    lamps = [name for name, table in loads.items() if table["kind"] == "lamp"]
    stands = {
        f"on_{name}": draw(_stands(name, lamps))
        for name, table in loads.items()
        if table["kind"] in {"pump", "valve"}
    }
    return plan_of(sensors=_SENSORS, guards=guards, stands=stands, **loads)


_HOW_LONG = st.sampled_from((1, 999, 1_000, 5_000, 30_000, 61_000, 600_000, 1_234_567, 5_400_000))
_STEPS = st.sampled_from((-7_200_000, -90_000, -1_500, -700, 3, 800, 2_000, 600_000, 9_000_000))
_READINGS = st.one_of(
    st.sampled_from(("float", "floor", "button")).flatmap(
        lambda name: st.fixed_dictionaries({name: st.sampled_from((0.0, 1.0))})
    ),
    st.fixed_dictionaries({"meter": st.sampled_from((0.0, 2.5))}),
    st.fixed_dictionaries(
        {"air": st.sampled_from((5.0, 10.0, 13.0, 20.0, 28.0, 30.0, 31.0, 40.0))}
    ),
)


def happenings(names: tuple[str, ...]) -> st.SearchStrategy[Happening]:
    """Anything that can befall a garden with these loads."""
    a_load = st.sampled_from(names)
    a_cycle = st.one_of(st.sampled_from(("on", "off")), _cycles(_Bounds()))
    nothing: st.SearchStrategy[dict[str, Any]] = st.just({})
    of_controller = ((AlarmCode.JOURNAL, ""), (AlarmCode.PLAN_REFUSED, ""))
    of_relays = tuple((AlarmCode.RELAY, name) for name in names)
    troubles = st.lists(st.sampled_from(of_controller + of_relays), max_size=3).map(tuple)
    return st.one_of(
        st.tuples(st.just("hold"), st.tuples(a_load, a_cycle, _HOW_LONG), nothing),
        st.tuples(st.just("release"), st.tuples(a_load), nothing),
        st.tuples(st.sampled_from(("stop", "resume", "acknowledge_all")), st.just(()), nothing),
        st.tuples(st.sampled_from(("sense", "sense", "poll")), st.just(()), _READINGS),
        st.tuples(st.just("silence"), st.tuples(st.sampled_from(sorted(_SENSORS))), nothing),
        st.tuples(st.just("set_clock"), st.just(()), st.fixed_dictionaries({"by": _STEPS})),
        st.tuples(st.just("distrust_clock"), st.just(()), st.fixed_dictionaries({"off": _STEPS})),
        st.tuples(st.just("trust_clock"), st.just(()), nothing),
        st.tuples(
            st.just("lose_power"),
            st.tuples(_HOW_LONG),
            st.fixed_dictionaries({"is_clock_trusted": st.booleans()}),
        ),
        st.tuples(st.just("crash"), st.tuples(_HOW_LONG), nothing),
        st.tuples(st.just("trouble"), troubles, nothing),
    )


@st.composite
def histories(draw: st.DrawFn, names: tuple[str, ...]) -> list[tuple[int, Happening]]:
    """What happens, each after so long."""
    return draw(st.lists(st.tuples(_HOW_LONG, happenings(names)), min_size=1, max_size=12))


def befall(driver: Driver, happening: Happening) -> None:
    """Lets it happen."""
    what, told, keys = happening
    getattr(driver, what)(*told, **keys)
