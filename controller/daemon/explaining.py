"""What this board knows of a notice, and the decision that made it does not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.orders import AlarmCode, Event

if TYPE_CHECKING:
    from controller.core.orders import Notice
    from controller.daemon.parts import Parts


def explanation(notice: Notice, parts: Parts) -> str:
    """Why it is so, for the journal; empty where there is no more to say."""
    if notice.event is Event.CLOCK_TRUSTED:
        return parts.clock.trust.reason or ""
    if notice.event is not Event.ALARM_RAISED:
        return ""
    if notice.detail == AlarmCode.RELAY.value:
        return parts.board.relays.faults().get(notice.subject, "")
    if notice.detail == AlarmCode.JOURNAL.value:
        return parts.journal.trouble
    if notice.detail.startswith(AlarmCode.SENSOR_SILENT.value):
        return parts.why_silent().get(notice.subject, "")
    return ""
