"""Whether a pump lifts high enough, in words; rounding happens here."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from controller.core.water.lifting import Lifting


def lifting_words(found: Lifting) -> str:
    """Whether the pump lifts that high, as a sentence or two."""
    if not found.lifts:
        return _not_lifted_words(found)
    text = f"This pump lifts {found.height_m:.2f} m"
    if found.flow_l_per_h.low > 0.0:
        return f"{text}."
    weak = "one that is as much weaker than its label as makers allow"
    if found.short_by_m.high < 0.005:
        return f"{text}, but only just: {weak} brings nothing."
    return f"{text}, but only just: {weak} ends {gap_words(found.short_by_m.high)} below the top."


def _not_lifted_words(found: Lifting) -> str:
    text = "This pump does not lift that high: "
    if found.short_by_m.likely < 0.005:
        text += "its water stands at the top and does not flow."
    else:
        text += f"it ends {gap_words(found.short_by_m.likely)} below the top."
    if found.flow_l_per_h.high > 0.0:
        text += " One that is stronger than its label may bring a little."
    return text


def gap_words(gap_m: float) -> str:
    """A height of half a centimetre or more that is missing: `0.3 m`, `6 cm`."""
    return f"{gap_m:.1f} m" if gap_m >= 0.095 else f"{gap_m * 100:.0f} cm"
