"""Misfits that only echo others: a key that is missing because it is there misspelt."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.plan_text.keys import keys, model_of
from controller.core.plan_text.likely import likely_word

if TYPE_CHECKING:
    from collections.abc import Iterable

    from controller.core.plan_text.form import Misfit
    from controller.core.plan_text.place import Place

# Of very many unknown keys in one table, only the first are compared with what is missing.
_COMPARED_MAX = 50


def without_echoes(misfits: Iterable[Misfit]) -> list[Misfit]:
    """The misfits less those missing keys that are there under a misspelt name."""
    listed = list(misfits)
    tables_short = {misfit.place[:-1] for misfit in listed if misfit.kind == "missing"}
    missing = {misfit.place for misfit in listed if misfit.kind == "missing"}
    compared: dict[Place, int] = {}
    misspelt: set[Place] = set()
    for misfit in listed:
        table = misfit.place[:-1]
        if misfit.kind != "extra_forbidden" or table not in tables_short:
            continue
        compared[table] = compared.get(table, 0) + 1
        if compared[table] <= _COMPARED_MAX:
            likely = likely_key(misfit.place)
            if likely is not None and (*table, likely) in missing:
                misspelt.add((*table, likely))
    return [m for m in listed if m.kind != "missing" or m.place not in misspelt]


def likely_key(place: Place) -> str | None:
    """The key that an unknown one in the same table was likely meant to be."""
    return likely_word(str(place[-1]), keys()[model_of(place[:-1])])
