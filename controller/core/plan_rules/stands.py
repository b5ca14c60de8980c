"""Rules about stands: who waters them, how old they are, what they root in, what lights them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.plan_rules.rule import WATERERS, Found
from controller.core.plan_text import said
from controller.core.plan_text.tell import toml_text
from controller.core.sentence import Sentence, joined

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
                yield _unlit(name, key)
        if stand.lamp is not None:
            yield from _misnamed(plan, name, "lamp", stand.lamp, ("lamp",))


def _unlit(name: str, key: str) -> Found:
    """What is told of a stand under lamps without one of the keys that tell of these."""
    stand = ("stands", name)
    lamp, ppfd = (*stand, "lamp"), (*stand, "ppfd_umol")
    return Found(
        "error",
        (*stand, key),
        Sentence.of(
            "{name} has {under_lamps} and no {key}; allowed is it only with {lamp} and {ppfd}",
            name=name,
            under_lamps=said.line((*stand, "place"), '"under-lamps"'),
            key=said.key((*stand, key)),
            lamp=said.key(lamp),
            ppfd=said.key(ppfd),
        ),
        Sentence(said.fill_in(lamp, '"lamp"'), ", the load that lights it")
        if key == "lamp"
        else Sentence(
            said.fill_in_what(ppfd), " the µmol/m²/s at the leaves: 150 to 300 are usual"
        ),
        ((*stand, "place"),),
    )


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
            Sentence.of(
                "{key} names {named}, and the plan has no {table}; its loads are {known}",
                key=said.key(place),
                named=named,
                table=said.table(("loads", named)),
                known=", ".join(plan.loads),
            ),
            _likely_load(named, fitting) or f"write the name of a {allowed} of the plan",
            (("loads", named),),
        )
    elif load.kind not in kinds:
        yield Found(
            "error",
            place,
            Sentence(
                said.key(place), f" names {named}, which is a {load.kind}; allowed is a {allowed}"
            ),
            Sentence("write ", said.line(place, f'"{fitting[0]}"'))
            if fitting
            else f"add a {allowed} and name it here",
            (("loads", named, "kind"),),
        )


def _likely_load(name: str, fitting: list[str]) -> str:
    from controller.core.plan_text.likely import likely_word

    likely = likely_word(name, fitting)
    return f"did you mean {likely}?" if likely else ""


def ages_of_stands(plan: Plan) -> Iterator[Found]:
    """A stand of which nobody knows how old it is, or that has two ages."""
    for name, stand in plan.stands.items():
        age, sown = ("stands", name, "age_days"), ("stands", name, "sown")
        if stand.age_days is None and stand.sown is None:
            yield Found(
                "error",
                ("stands", name),
                Sentence.of(
                    "{name} has neither {age} nor {sown}; allowed is exactly one of the two",
                    name=name,
                    age=said.key(age),
                    sown=said.key(sown),
                ),
                Sentence.of(
                    "{age} for plants of one age, or {sown} and they age",
                    age=said.fill_in(age, "35"),
                    sown=said.line(sown, "2026-06-01"),
                ),
            )
        elif stand.age_days is not None and stand.sown is not None:
            yield Found(
                "error",
                age,
                Sentence.of(
                    "{name} has {age} and {sown}; allowed is exactly one of the two",
                    name=name,
                    age=said.key(age),
                    sown=said.key(sown),
                ),
                Sentence.of(
                    "{no_age} and the plants age from the day of sowing, or {not_sown}",
                    no_age=said.leave_out(age),
                    not_sown=said.leave_out(sown),
                ),
                (sown,),
            )


def media_of_stands(plan: Plan) -> Iterator[Found]:
    """A net pot or plug without its volume, or bare roots with one."""
    for name, stand in plan.stands.items():
        place, medium = ("stands", name, "medium_ml"), ("stands", name, "medium")
        source = toml_text(stand.medium)
        if stand.medium == "bare-roots" and stand.medium_ml is not None:
            yield Found(
                "error",
                place,
                Sentence.of(
                    "{name} has {medium} and a {volume}; bare roots stand in no volume",
                    name=name,
                    medium=said.line(medium, source),
                    volume=said.key(place),
                ),
                Sentence.of(
                    "{no_volume}, or write the {medium} that the roots stand in",
                    no_volume=said.leave_out(place),
                    medium=said.key(medium),
                ),
                (medium,),
            )
        elif stand.medium != "bare-roots" and stand.medium_ml is None:
            yield Found(
                "error",
                place,
                Sentence.of(
                    "{name} has {medium} and no {volume}: what a plant holds could not be told",
                    name=name,
                    medium=said.line(medium, source),
                    volume=said.key(place),
                ),
                Sentence(said.fill_in(place, "90"), " for a net pot of 5 cm, or 25 for a plug"),
                (medium,),
            )


def keys_of_another_place(plan: Plan) -> Iterator[Found]:
    """A key that means something only where the stand is not."""
    for name, stand in plan.stands.items():
        for key, places in _PLACES_OF.items():
            if key in stand.model_fields_set and stand.place not in places:
                at, where = ("stands", name, key), ("stands", name, "place")
                allowed = (said.value(where, toml_text(place)) for place in places)
                yield Found(
                    "error",
                    at,
                    Sentence.of(
                        "{key} means nothing with {place}; allowed is it with {allowed}",
                        key=said.key(at),
                        place=said.line(where, toml_text(stand.place)),
                        allowed=joined(" or ", allowed),
                    ),
                    Sentence(said.leave_out(at), ", or correct ", said.key(where)),
                    (where,),
                )


def stands_of_unknown_drip(plan: Plan) -> Iterator[Found]:
    """A stand of which neither the drip nor the way of its water is known."""
    for name, stand in plan.stands.items():
        load = plan.loads.get(stand.watered_by)
        if stand.drip_ml_per_min is not None or load is None or load.kind not in WATERERS:
            continue
        if load.lift is None:
            caught = " what you catch under one plant in a minute"
            place, pump = ("stands", name, "drip_ml_per_min"), ("loads", stand.watered_by)
            yield Found(
                "note",
                place,
                Sentence.of(
                    "{name} has no {drip} and {pump} no lift: how fast the roots fill up again "
                    "cannot be told",
                    name=name,
                    drip=said.key(place),
                    pump=stand.watered_by,
                ),
                Sentence.of(
                    "add {lift}, or {drip}{caught}",
                    lift=said.table((*pump, "lift")),
                    drip=said.fill_in_what(place, verb=""),
                    caught=caught,
                )
                if load.kind == "pump"
                else Sentence(said.fill_in_what(place), caught),
                (pump,),
            )
