"""What a load did at a time gone by, in a sentence."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.phrases import length_words

if TYPE_CHECKING:
    from controller.core.units import Instant


def past_sentence(
    load: str,
    *,
    what: str,
    since: Instant,
    at: Instant,
    away_since: Instant | None = None,
    is_away_certain: bool = False,
) -> str:
    """`pump was off, for 15 min by then`; where the controller did not run, that.

    Args:
        load: its name.
        what: `on` or `off`, what its last switching by then made it.
        since: of that switching.
        at: the time asked about.
        away_since: the controller's last word, if it did not run at that time, or may not have.
        is_away_certain: whether that word was its orderly end.
    """
    if away_since is None:
        return f"{load} was {what}, for {length_words(at - since)} by then"
    silent = length_words(at - away_since)
    if is_away_certain:
        return (
            f"The controller did not run then: it had ended {silent} before, and left {load} as "
            "the plan says for a stop"
        )
    return (
        f"Nobody knows: the controller died without a word, at some moment after its last entry, "
        f"{silent} before; {load} was {what} by that"
    )
