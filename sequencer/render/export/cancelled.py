"""What a calendar file held before and holds no longer: cancelled, so that a calendar takes it away.

The file that is written over is all that remembers what was exported; under another name nothing does.
"""

from __future__ import annotations

JOB = "x-sequencer-job"
"""The property by which an event is known as one of the same job (RFC 5545, 3.8.8.2)."""


def with_cancelled(made: bytes, former: bytes) -> tuple[bytes, int]:
    """A calendar with what it lacks of the ``former`` one's events of the same job, cancelled; and how many.

    They keep their UID and get a greater SEQUENCE (RFC 5545, 3.8.1.11 and 3.8.7.4). What is no calendar
    holds none.
    """
    from icalendar import Calendar

    try:
        before = Calendar.from_ical(former).walk("VEVENT")
    except (ValueError, IndexError):
        return made, 0
    calendar = Calendar.from_ical(made)
    events = calendar.walk("VEVENT")
    jobs, kept = {str(event.get(JOB)) for event in events}, {str(event.get("uid")) for event in events}
    gone = [one for one in before if str(one.get(JOB)) in jobs and str(one.get("uid")) not in kept]
    for event in gone:
        if event.get("status") != "CANCELLED":
            event["dtstamp"] = events[0]["dtstamp"]
            numbers = (event.get("sequence", 0), events[0]["sequence"])
            event["sequence"] = max(int(str(numbers[0])) + 1, int(str(numbers[1])))
            event.add("status", "CANCELLED")
        calendar.add_component(event)
    return calendar.to_ical(), len(gone)
