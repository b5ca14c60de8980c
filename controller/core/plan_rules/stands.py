"""Rules about stands: who waters them, how old they are, what they root in, what lights them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.plan_rules.rule import WATERERS, Found
from controller.core.plan_text.tell import toml_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.plan import Plan

_OF_LAMPS = ("lamp", "ppfd_umol")
# Which keys mean something only in some places, and in which.
_PLACES_OF = {
    "light_share": ("outdoors", "under-glass"),
    "lamp": ("under-lamps",),
    "ppfd_umol": ("under-lamps",),
    "air_c": ("under-lamps",),
    "humidity_pct": ("under-lamps",),
    "air_speed_m_s": ("under-glass", "under-lamps"),
}


def stands_that_nothing_waters(plan: Plan) -> Iterator[Found]:
    """A stand that names no load of the plan as what waters it, or none that can."""
    for name, stand in plan.stands.items():
        yield from _misnamed(plan, name, "watered_by", stand.watered_by, WATERERS)


def stands_that_nothing_lights(plan: Plan) -> Iterator[Found]:
    """A stand under lamps that names no lamp of the plan, or not how bright it is there."""
    for name, stand in plan.stands.items():
        if stand.place != "under-lamps":
            continue
        for key in _OF_LAMPS:
            if getattr(stand, key) is None:
                yield Found(
                    "error",
                    ("stands", name, key),
                    f'{name} has place = "under-lamps" and no {key}; allowed is it only with '
                    "lamp and ppfd_umol",
                    'add lamp = "lamp", the load that lights it'
                    if key == "lamp"
                    else "add ppfd_umol = and the µmol/m²/s at the leaves: 150 to 300 are usual",
                    (("stands", name, "place"),),
                )
        if stand.lamp is not None:
            yield from _misnamed(plan, name, "lamp", stand.lamp, ("lamp",))


def _misnamed(
    plan: Plan, stand: str, key: str, named: str, kinds: tuple[str, ...]
) -> Iterator[Found]:
    """What is wrong with a stand's key that names a load, which must be of one of the kinds."""
    place, allowed = ("stands", stand, key), " or ".join(kinds)
    fitting = [name for name, load in plan.loads.items() if load.kind in kinds]
    load = plan.loads.get(named)
    if load is None:
        yield Found(
            "error",
            place,
            f"{key} names {named}, and the plan has no [loads.{named}]; its loads are "
            f"{', '.join(plan.loads)}",
            _likely_load(named, fitting) or f"write the name of a {allowed} of the plan",
            (("loads", named),),
        )
    elif load.kind not in kinds:
        yield Found(
            "error",
            place,
            f"{key} names {named}, which is a {load.kind}; allowed is a {allowed}",
            f'write {key} = "{fitting[0]}"' if fitting else f"add a {allowed} and name it here",
            (("loads", named, "kind"),),
        )


def _likely_load(name: str, fitting: list[str]) -> str:
    from controller.core.plan_text.likely import likely_word

    likely = likely_word(name, fitting)
    return f"did you mean {likely}?" if likely else ""


def ages_of_stands(plan: Plan) -> Iterator[Found]:
    """A stand of which nobody knows how old it is, or that has two ages."""
    for name, stand in plan.stands.items():
        if stand.age_days is None and stand.sown is None:
            yield Found(
                "error",
                ("stands", name),
                f"{name} has neither age_days nor sown; allowed is exactly one of the two",
                "add age_days = 35 for plants of one age, or sown = 2026-06-01 and they age",
            )
        elif stand.age_days is not None and stand.sown is not None:
            yield Found(
                "error",
                ("stands", name, "age_days"),
                f"{name} has age_days and sown; allowed is exactly one of the two",
                "delete age_days and the plants age from the day of sowing, or delete sown",
                (("stands", name, "sown"),),
            )


def media_of_stands(plan: Plan) -> Iterator[Found]:
    """A net pot or plug without its volume, or bare roots with one."""
    for name, stand in plan.stands.items():
        place, medium = ("stands", name, "medium_ml"), toml_text(stand.medium)
        if stand.medium == "bare-roots" and stand.medium_ml is not None:
            yield Found(
                "error",
                place,
                f"{name} has medium = {medium} and a medium_ml; bare roots stand in no volume",
                "delete medium_ml, or write the medium that the roots stand in",
                (("stands", name, "medium"),),
            )
        elif stand.medium != "bare-roots" and stand.medium_ml is None:
            yield Found(
                "error",
                place,
                f"{name} has medium = {medium} and no medium_ml: what a plant holds could not be "
                "told",
                "add medium_ml = 90 for a net pot of 5 cm, or 25 for a plug",
                (("stands", name, "medium"),),
            )


def keys_of_another_place(plan: Plan) -> Iterator[Found]:
    """A key that means something only where the stand is not."""
    for name, stand in plan.stands.items():
        for key, places in _PLACES_OF.items():
            if key in stand.model_fields_set and stand.place not in places:
                allowed = " or ".join(toml_text(place) for place in places)
                yield Found(
                    "error",
                    ("stands", name, key),
                    f"{key} means nothing with place = {toml_text(stand.place)}; allowed is it "
                    f"with {allowed}",
                    f"delete {key}, or correct place",
                    (("stands", name, "place"),),
                )


def stands_of_unknown_drip(plan: Plan) -> Iterator[Found]:
    """A stand of which neither the drip nor the way of its water is known."""
    for name, stand in plan.stands.items():
        load = plan.loads.get(stand.watered_by)
        if stand.drip_ml_per_min is not None or load is None or load.kind not in WATERERS:
            continue
        if load.lift is None:
            way = f"add [loads.{stand.watered_by}.lift], or " if load.kind == "pump" else "add "
            yield Found(
                "note",
                ("stands", name, "drip_ml_per_min"),
                f"{name} has no drip_ml_per_min and {stand.watered_by} no lift: how fast the "
                "roots fill up again cannot be told",
                f"{way}drip_ml_per_min = and what you catch under one plant in a minute",
                (("loads", stand.watered_by),),
            )
