"""What a person is to do about each alarm; every word of it stands here."""

from __future__ import annotations

from controller.core.orders import AlarmCode

# Safety first, then plants, then the cause. One sentence or two, for somebody who is just
# reading it on a telephone, away from home or with wet hands.
_WHAT_TO_DO = {
    AlarmCode.LEAK: "Switch the pump's supply off before you touch water, find the leak, dry "
    "{subject}, then acknowledge this alarm.",
    AlarmCode.LEVEL_LOW: "Top up the reservoir; the pump goes on by itself when {subject} "
    "finds water again.",
    AlarmCode.NO_FLOW: "See whether the pump turns, then look for a blocked strainer, a kinked "
    "hose or an air lock; it tries again by itself.",
    AlarmCode.SENSOR_SILENT: "Look at the cable and the supply of {subject}; until it speaks, "
    "the plan goes on as if it were not there.",
    AlarmCode.CLOCK_UNTRUSTED: "Give the controller a network or set its clock; if the time "
    "above is right, say so: rootclock trust-clock.",
    AlarmCode.OUTAGE: "Look at the plants of {subject}: their roots were dry for longer than "
    "planned. Find out why the controller had no power or a wrong clock.",
    AlarmCode.WATERING_MISSED: "Look at the plants of {subject}, and at what kept the watering "
    "from happening: rootclock why {subject}.",
    AlarmCode.KEPT_WAITING: "See what else runs at these times: {subject} has waited for its turn "
    "or for watts for over an hour. Allow more at once under [guards], or shift its spans.",
    AlarmCode.NO_SPAN: "Add a span for this time of the year to {subject} in the plan: "
    "rootclock check shows where it lacks one.",
    AlarmCode.RELAY: "See with your own eyes whether {subject} is on or off, and unplug it if "
    "that is wrong: its relay or wiring does not follow orders.",
    AlarmCode.JOURNAL: "Look at the disk or card: it is full, worn out or read-only. Loads are "
    "switched all the same, but nothing is written down.",
    AlarmCode.PLAN_REFUSED: "Run rootclock check on the plan's file and mend what it lists; "
    "the last good plan goes on until then.",
}
_NOBODY = "it"


def what_to_do(code: AlarmCode, subject: str) -> str:
    """What a person is to do about an alarm of a load or sensor."""
    return _WHAT_TO_DO[code].format(subject=subject or _NOBODY)
