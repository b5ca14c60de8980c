"""What the strategies promise: valid plans, and every field of the plan among them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, get_args

from hypothesis import Phase, find, given, settings
from pydantic import BaseModel

from controller.core.plan import Plan
from controller.core.plan_rules.rulebook import found_in
from tests.gardens import gardens
from tests.strategies import Document, examples, plans, timeline_plans


def fields_of(model: type[BaseModel], place: str = "") -> set[str]:
    """The dotted names of all fields of a model, and of the models in them."""
    found = set()
    for name, field in model.model_fields.items():
        dotted = f"{place}{field.alias or name}"
        found.add(dotted)
        for inner in models_in(field.annotation):
            found |= fields_of(inner, f"{dotted}.")
    return found


def models_in(annotation: Any) -> list[type[BaseModel]]:
    """The models that an annotation speaks of."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for inner in get_args(annotation) for model in models_in(inner)]


def fields_in(document: Any, model: type[BaseModel], place: str = "") -> set[str]:
    """The dotted names of the fields that a document has, in the model's words."""
    found = set()
    for name, field in model.model_fields.items():
        key = field.alias or name
        if key not in document:
            continue
        dotted = f"{place}{key}"
        found.add(dotted)
        for inner in models_in(field.annotation):
            value = document[key]
            named = isinstance(value, dict) and not set(value) <= names_of(inner)
            for item in value.values() if named else value if isinstance(value, list) else [value]:
                found |= fields_in(item, inner, f"{dotted}.")
    return found


def names_of(model: type[BaseModel]) -> set[str]:
    """The keys that a table of a model may have."""
    return {field.alias or name for name, field in model.model_fields.items()}


def has(field: str) -> Callable[[Document], bool]:
    """Whether a plan has a field of that dotted name."""
    return lambda document: field in fields_in(document, Plan)


def test_every_field_of_the_plan_is_among_the_drawn_plans() -> None:
    """A new field must enter the strategies, or the search for it ends in vain."""
    seen: set[str] = set()

    @examples(40)
    @given(plans(loads_max=2))
    def look(document: Document) -> None:
        Plan.model_validate(document)
        seen.update(fields_in(document, Plan))

    look()
    # Found is enough: the smallest plan that has the field would take long to find.
    some = settings(examples(2_000), phases=[Phase.generate])
    while rare := sorted(fields_of(Plan) - seen):
        seen |= fields_in(find(plans(), has(rare[0]), settings=some), Plan)
    assert fields_of(Plan) - seen == set()


@examples(10)
@given(timeline_plans())
def test_plans_of_timelines_are_valid(document: Document) -> None:
    """They have at most three loads, and what follows comes after what is followed."""
    assert 1 <= len(Plan.model_validate(document).loads) <= 3


@examples(60)
@given(gardens())
def test_gardens_are_plans_that_the_rules_let_run(plan: Plan) -> None:
    """No controller is ever given a plan in which the rules find an error, so no garden has one."""
    assert [found for found in found_in(plan) if found.level == "error"] == []
