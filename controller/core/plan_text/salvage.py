"""What is sound of a plan that does not fit the form, so that its rules can be told too.

Values that do not fit are replaced by stand-ins (the examples of the format). A finding
of the rules that rests on a stand-in is worth nothing; `doubtful` says which they are.
The salvaged plan is for finding further mistakes only and never leaves this package.
"""

from __future__ import annotations

from copy import deepcopy
from typing import TYPE_CHECKING, Any

from controller.core.plan_text.form import read_form
from controller.core.plan_text.keys import example_value, key_at, keys, model_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from controller.core.plan import Plan
    from controller.core.plan_text.form import Misfit
    from controller.core.plan_text.place import Place

# Replacing a value can bring to light one error more (an empty table misses its keys);
# deeper than this the plan is beyond salvage.
_PASSES_MAX = 3
_MISFITS_MAX = 300
_FAMILIES = ("loads", "sensors", "stands", "reservoirs")


def salvage(
    document: Mapping[str, Any], misfits: Sequence[Misfit]
) -> tuple[Plan, frozenset[Place]] | None:
    """The plan with stand-ins for what does not fit, and the places of those.

    None where too much is wrong to tell anything.
    """
    mended: dict[str, Any] = deepcopy(dict(document))
    doubtful: set[Place] = set()
    for _ in range(_PASSES_MAX):
        if len(misfits) > _MISFITS_MAX:
            return None
        for misfit in misfits:
            doubtful.add(misfit.place)
            if misfit.kind == "extra_forbidden":  # maybe one of a family in the wrong table
                doubtful |= {(family, misfit.place[-1]) for family in _FAMILIES}
            _stand_in(mended, misfit)
        plan, misfits = read_form(mended)
        if plan is not None:
            return plan, frozenset(doubtful)
    return None


def _stand_in(document: dict[str, Any], misfit: Misfit) -> None:
    """Puts an example in the place of a misfit, or takes out what need not be there."""
    parent: Any = document
    for part in misfit.place[:-1]:
        if isinstance(parent, dict) and part not in parent:
            return  # an entry under a name that no plan can use, taken out by now
        parent = parent[part]
    last, key = misfit.place[-1], key_at(misfit.place)
    if misfit.kind in {"extra_forbidden", "bad_name"}:
        parent.pop(last, None)
    elif key is None:  # one of many: a table by name, or an item of a list
        inner = keys()[model_of(misfit.place)].values()
        parent[last] = {part.name: example_value(part) for part in inner if part.is_required}
    elif key.is_required or key.holds:
        parent[last] = example_value(key)
    else:
        parent.pop(last, None)
