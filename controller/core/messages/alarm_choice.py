"""Which of the alarms that stand a person means."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from controller.core.errors import BadRequestError
from controller.core.messages.params import likely_of, listed
from controller.core.units import shown

if TYPE_CHECKING:
    from collections.abc import Iterable


def alarms_meant(
    alarm: str | None, subject: str | None, standing: Iterable[tuple[str, str]]
) -> list[tuple[str, str]]:
    """The alarms (code and subject) that a person means, of those that stand.

    `alarm` may be a code, a subject, or one after the other; how it is spaced, hyphened and
    capitalised does not matter. None of both means all.

    Raises:
        BadRequestError: no alarm stands, or none that could be meant.
    """
    there = list(standing)
    if not there:
        raise BadRequestError("there is no alarm to acknowledge")
    of_subject = [one for one in there if subject is None or _plain(one[1]) == _plain(subject)]
    if not of_subject:
        subjects = [one[1] for one in there if one[1]]
        raise BadRequestError(
            f"there is no alarm about {shown(subject)}{likely_of(subject or '', subjects)}; "
            f"there are: {_alarms_listed(there)}"
        )
    if alarm is None:
        return of_subject
    wanted = _plain(alarm)
    meant = [one for one in of_subject if wanted in _names_of(one)]
    if not meant:
        names = [name for one in of_subject for name in one if name]
        raise BadRequestError(
            f"there is no alarm {shown(alarm)}{likely_of(alarm, names)}; "
            f"there are: {_alarms_listed(there)}"
        )
    return meant


def alarm_name(code: str, subject: str) -> str:
    """How an alarm is called: `leak (floor)`."""
    return f"{code} ({subject})" if subject else code


def _names_of(alarm: tuple[str, str]) -> set[str]:
    code, subject = map(_plain, alarm)
    return {code, subject, f"{code} {subject}", f"{code} ({subject})"} - {""}


def _plain(text: str) -> str:
    return re.sub(r"[\s_-]+", " ", text).strip().lower()


def _alarms_listed(alarms: Iterable[tuple[str, str]]) -> str:
    return listed([alarm_name(*alarm) for alarm in alarms])
