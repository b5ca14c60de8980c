"""What is sound of a plan that does not fit the form, so that its rules can be told too.

Values that do not fit are replaced by stand-ins (the examples of the format). A finding
of the rules that rests on a stand-in is worth nothing; `doubtful` says which they are.
The salvaged plan is for finding further mistakes only and never leaves this package.
"""

from __future__ import annotations

from copy import deepcopy
from typing import TYPE_CHECKING, Any

from controller.core.plan_keys import example_value, key_at, keys, model_at
from controller.core.plan_misfits import misfit_of
from controller.core.plan import Plan

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from controller.core.plan_misfits import Misfit
    from controller.core.plan_place import Place

# Replacing a value can bring to light one error more (an empty table misses its keys);
# deeper than this the plan is beyond salvage.
_PASSES_MAX = 3
_MISFITS_MAX = 300


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
            _stand_in(mended, misfit)
        plan, misfits = read_form(mended)
        if plan is not None:
            return plan, frozenset(doubtful)
    return None
