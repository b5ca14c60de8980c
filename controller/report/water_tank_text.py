"""A reservoir of a dry run as lines for a terminal: level, top-up, strength, oxygen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.phrases import amount_words, between_words, date_words, times_words
from controller.core.units import HOUR_MS
from controller.core.water.bounds import Bounds
from controller.core.water.conductivity import WATER_C_MAX as CONDUCTIVITY_C_MAX
from controller.core.water.conductivity import WATER_C_MIN as CONDUCTIVITY_C_MIN
from controller.core.water.conductivity import ec_as_measured, ppm_of_ec
from controller.core.water.oxygen import WATER_C_MAX, WATER_C_MIN, oxygen_meaning
from controller.core.water.reservoir import Solution, ec_to_pour, ec_when_filled
from controller.core.water_words import ranged, two_figures
from controller.report.load_blocks import entry
from controller.report.text_cells import printable, wrapped

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from controller.core.calendar import Calendar
    from controller.core.units import Instant
    from controller.core.water.reservoir_outlook import Reached, ReservoirOutlook
    from controller.dry_run.water.water_account import ReservoirAccount
    from controller.report.ink import Ink

_LEVELS_TOLD = 4
_PPM_STEP = 50  # finer ones would be false digits: what plants take is known to a factor


def tank_block(tank: ReservoirAccount, calendar: Calendar, *, width: int, ink: Ink) -> list[str]:
    """A reservoir as lines of at most that width."""
    head = f"{printable(tank.name)} (reservoir, {fact_words(tank.left_alone.reservoir.full_l)})"
    lines = [ink.heading(line) for line in wrapped(head, width, rest="  ")]
    for label, value in _entries(tank, calendar):
        lines += entry(label, value, width=width)
    return lines


def tank_line(tank: ReservoirAccount, calendar: Calendar, *, width: int) -> list[str]:
    """A reservoir in short: when it is to be filled or its inlet draws air."""
    outlook, mark_l = tank.left_alone, tank.left_alone.reservoir.top_up_at_l
    inlet = outlook.falls_to(outlook.reservoir.inlet_at_l)
    told = []
    if mark_l is not None and outlook.falls_to(mark_l).earliest is not None:
        when = reached_words(outlook.falls_to(mark_l), outlook.start, calendar)
        told.append(f"to be filled at {fact_words(mark_l)}: {when}")
    if inlet.earliest is not None:
        when = reached_words(inlet, outlook.start, calendar)
        told.append(f"inlet draws air, if nobody fills it: {when}")
    if not told:
        end = ranged(outlook.water_l(outlook.end), litre_words)
        told.append(f"need not be filled in this run, {end} left")
    text = f"{printable(tank.name)}: {'; '.join(told)}"
    return wrapped(text, width, first="  ", rest="    ")


def _entries(tank: ReservoirAccount, calendar: Calendar) -> Iterator[tuple[str, str]]:
    outlook = tank.left_alone
    reservoir = outlook.reservoir
    yield "level, unfilled", _level_words(outlook, calendar)
    if reservoir.top_up_at_l is not None:
        when = reached_words(outlook.falls_to(reservoir.top_up_at_l), outlook.start, calendar)
        yield "top up", f"at {fact_words(reservoir.top_up_at_l)}: {when}"
    inlet = reached_words(outlook.falls_to(reservoir.inlet_at_l), outlook.start, calendar)
    yield "inlet draws air", f"at {fact_words(reservoir.inlet_at_l)}: {inlet}"
    unmet_l = outlook.unmet_l()
    if unmet_l.high > 0.05:
        yield "plants miss", f"{ranged(unmet_l, litre_words)}, if nobody fills it"
    if tank.refilled is not None:
        yield "filled at its mark", _filled_words(tank.refilled)
    if tank.ec_is_known:
        yield from _strength_entries(tank)
    if WATER_C_MIN <= tank.water_c <= WATER_C_MAX:
        yield "oxygen", oxygen_meaning(tank.water_c, air_kpa=tank.air_kpa)
    elif tank.water_c < WATER_C_MIN:  # which no plan can state: it is the mean of the air
        yield "oxygen", f"not told: in air of {tank.water_c:z.0f} °C on average, water freezes"
    else:
        reach = f"{WATER_C_MIN:g} to {WATER_C_MAX:g} °C"
        yield "oxygen", f"not told: water of {tank.water_c:.3g} °C, known from {reach}"


def _level_words(outlook: ReservoirOutlook, calendar: Calendar) -> str:
    """The level at a few dates, from the start until the inlet likely draws air."""
    inlet_at = outlook.likely.inlet_drew_air_at
    end = outlook.end if inlet_at is None else max(inlet_at, outlook.start + 1)
    told: dict[str, str] = {}
    for part in range(_LEVELS_TOLD + 1):
        instant = outlook.start + (end - outlook.start) * part // _LEVELS_TOLD
        level = ranged(outlook.water_l(instant), litre_words)
        told.setdefault(_date(instant, calendar), level)
    return ", ".join(f"{level} {date}" for date, level in told.items())


def _filled_words(refilled: ReservoirOutlook) -> str:
    counts = sorted(len(run.top_ups) for run in refilled.runs)
    if not counts[-1]:
        return "not in this run"
    likely = times_words(len(refilled.likely.top_ups)) if refilled.likely.top_ups else "likely not"
    times = likely if counts[0] == counts[-1] else f"{likely} ({counts[0]} to {counts[-1]})"
    return f"{times}, {ranged(refilled.poured_l(), litre_words)} in all"


def _strength_entries(tank: ReservoirAccount) -> Iterator[tuple[str, str]]:
    """How strong the solution was, is when it is to be filled, and will be after that."""
    outlook = tank.left_alone
    began = outlook.solution.ec_ms_per_cm
    left, is_at_mark = _left_when_due(outlook)
    now = _bounds([one.ec_ms_per_cm for one in left])
    when = "when it is to be filled" if is_at_mark else "at the end"
    if began is None or two_figures(began) == "0":  # the purest water has more
        yield "strength", "no salts in it"
        return
    if now is None:
        yield "strength", "not known: it may run dry"
        return
    yield "strength", f"{two_figures(began)} mS/cm at the start, {ranged(now, ec_words)} {when}"
    if tank.ppm_scale is not None:
        scale = tank.ppm_scale
        began_ppm = f"{ppm_of_ec(began, scale=scale):,.0f} ppm"
        now_ppm = ranged(now, lambda ec: _ppm_words(ec, scale))
        yield f"on the {scale} scale", f"{began_ppm} at the start, {now_ppm} {when}"
    yield from _uncompensated_entry(began, tank.water_c)
    yield from _filling_entries(outlook, left, began)


def _uncompensated_entry(began: float, water_c: float) -> Iterator[tuple[str, str]]:
    """What a meter shows that does not reckon to 25 °C, where that reads otherwise."""
    if not CONDUCTIVITY_C_MIN <= water_c <= CONDUCTIVITY_C_MAX:
        return
    shown = ec_words(ec_as_measured(began, water_c=water_c))
    if shown != ec_words(began):
        yield (
            "uncompensated",
            f"a meter that does not allow for water of {round(water_c, 1):.3g} °C shows {shown} "
            f"instead of {two_figures(began)}",
        )


def _filling_entries(
    outlook: ReservoirOutlook, left: Sequence[Solution], began: float
) -> Iterator[tuple[str, str]]:
    """What filling with water or more of the same does, and what brings the strength back."""
    reservoir = outlook.reservoir
    for label, poured_ec in (("filled with water", 0.0), ("filled with more", began)):
        after = _bounds([ec_when_filled(one, reservoir, ec_ms_per_cm=poured_ec) for one in left])
        what = (
            "water without salts" if poured_ec == 0 else f"solution of {two_figures(began)} mS/cm"
        )
        if after is not None:
            yield label, f"{ranged(after, ec_words)} after filling with {what}"
    to_pour = _bounds([ec_to_pour(one, reservoir, to_ec=began) for one in left])
    if to_pour is not None:
        solution = f"solution of {ranged(to_pour, ec_words)}"
        yield f"to have {two_figures(began)} again", f"fill with {solution}"


def _ppm_words(ec_ms_per_cm: float, scale: int) -> str:
    return f"{round(ppm_of_ec(ec_ms_per_cm, scale=scale) / _PPM_STEP) * _PPM_STEP:,} ppm"


def _left_when_due(outlook: ReservoirOutlook) -> tuple[list[Solution], bool]:
    """What is left in each run when it falls to its mark, or at the end, the likely one first;
    and whether the likely run falls to it."""
    mark_l = outlook.reservoir.top_up_at_l
    instants = [None if mark_l is None else run.falls_to(mark_l) for run in outlook.runs]
    left = [
        run.at(run.end if at is None else at)
        for run, at in zip(outlook.runs, instants, strict=True)
    ]
    return left, instants[0] is not None


def _bounds(values: Sequence[float | None]) -> Bounds | None:
    """The extremes of values whose first is the likely one; None where one is not known."""
    known = [value for value in values if value is not None]
    if len(known) < len(values):
        return None
    return Bounds(min(known), known[0], max(known))


def reached_words(reached: Reached, start: Instant, calendar: Calendar) -> str:
    """When a mark is reached in a run from `start` on: a date with its range; hours only where
    less than a day lies between."""
    earliest, likely, latest = reached
    if earliest is None:
        return "not in this run"
    if latest == start:
        return "from the start"
    if likely is None:
        return f"likely not in this run, at the earliest {_date(earliest, calendar)}"
    if latest is None:
        dates = dict.fromkeys([_date(likely, calendar), _date(earliest, calendar)])
        return f"likely {', at the earliest '.join(dates)}, perhaps not in this run"
    if latest - earliest < 24 * HOUR_MS:
        first, last = earliest // HOUR_MS * HOUR_MS, -(-latest // HOUR_MS) * HOUR_MS
        return between_words(first, last, calendar)
    span = f"{_date(earliest, calendar)} to {_date(latest, calendar)}"
    return f"likely {_date(likely, calendar)} ({span})"


def _date(instant: Instant, calendar: Calendar) -> str:
    return date_words(calendar.date_of(instant))


def fact_words(litres: float) -> str:
    """Litres that the plan states, `60 L`, `2.35 L`."""
    return f"{amount_words(litres)} L"


def litre_words(litres: float) -> str:
    """Litres as far as a model knows them: `2,140 L`, `52 L`, `8.5 L`, `0.4 L`."""
    if litres >= 100:
        return f"{round(litres / 10) * 10:,} L"
    text = f"{litres:.0f}" if litres >= 9.95 else f"{litres:.1f}"
    return f"{text.removesuffix('.0')} L"


def ec_words(ec_ms_per_cm: float) -> str:
    """Conductivity to a tenth, `1.6 mS/cm`."""
    return f"{ec_ms_per_cm:.1f} mS/cm"
