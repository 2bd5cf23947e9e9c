"""What a draft comes to: its events, and what is said of them once they are written."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any

from sequencer.job.journal.events import TOLD, Event, EventKind, Recorded
from sequencer.job.journal.state import ALONG, JobState
from sequencer.job.now.acts import By, Draft, Outcome, RefusedError
from sequencer.job.now.choosing import op_words
from sequencer.job.now.given import BAGS, MARKS, held, undone_joints
from sequencer.job.now.moment import Moment


def events_of(draft: Draft, by: By, identity: str, time: datetime) -> list[Event]:
    """The events of an act: the first has the act's own id, the others ids that follow from it."""
    made = []
    for number, (kind, body) in enumerate(draft.events):
        own = identity if number == 0 else str(uuid.uuid5(uuid.UUID(identity), str(number)))
        whole: dict[str, Any] = dict(body) if number == 0 else {**body, ALONG: identity}
        made.append(Event(kind, whole, by.person, by.device, time, own))
    return made


def refuse_again(events: Iterable[Recorded], identity: str) -> None:
    """An act that was refused, and is said once more: what was kept of it made nothing of it then.

    Raises:
        RefusedError: The act ``identity`` was a reading that did not hold.
    """
    one = next((one.event for one in events if one.event.id == identity), None)
    if one is not None and one.kind is EventKind.MEASURED and one.body.get("problem"):
        raise RefusedError(
            f"the gate stays open: {one.body['problem']}", "the reading is in the record", code="gate-open"
        )


def to_keep(after: Moment, events: Sequence[tuple[EventKind, Mapping[str, Any]]]) -> dict[str, Any]:
    """What an act comes to that the journal does not have, by the keys of a body.

    Args:
        after: The job once the act is written.
        events: Those of the act.
    """
    ticks = [body for kind, body in events if kind is EventKind.DONE]
    ticked = {path for body in ticks for path in undone_joints(map(str, body["ops"]))}
    in_words = {path for body in ticks if body.get("in_words") for path in undone_joints(body["ops"])}
    done = set(undone_joints(after.state.done))
    found: dict[str, Any] = {}
    for key, shown, asked, none in (
        (BAGS, {path: bag.number for path, bag in after.bags.items()}, after.bags_asked, 0),
        (MARKS, {path: label.mark for path, label in after.labels.items()}, after.labels_asked, ""),
    ):
        known = held(after.state, after.machine, key)
        without = (done - shown.keys()) | (ticked - asked.keys())
        if key == MARKS:  # whoever tells what is off already was asked for no label
            without |= {path for path in in_words if not known.get(path)}
        told: dict[str, Any] = {**shown, **dict.fromkeys(sorted(without), none)}
        if new := {path: one for path, one in told.items() if known.get(path) != one}:
            found[key] = new
    return found


def said_of(draft: Draft, made: Sequence[Event], before: Moment, after: JobState) -> Outcome:
    """What an act came to, with what has left the plan by it and what is wrong with a clock."""
    clocks = (
        f"the clock of {gone.device or 'this device'} went back by {gone.seconds:.0f} s: "
        "the time since its last event is not counted"
        for gone in after.backward[len(before.state.backward) :]
    )
    words = (*draft.words, *_gone(draft, before, after), *clocks)
    return Outcome(tuple(event.id for event in made), words, draft.ops)


def _gone(draft: Draft, before: Moment, after: JobState) -> Iterator[str]:
    """What has left the plan by an act that does not tell its new plan line by line, or turn to another."""
    if any(kind in TOLD for kind, _ in draft.events):
        return
    left = {op for _, op in after.left}
    gone = [
        f"{number}, {op_words(before, op)}"
        for number, op in before.state.left
        if op not in left and op not in after.ticks and op not in after.skipped
    ]
    if gone:
        yield f"no longer in the plan, as not needed or not possible any more: {'; '.join(gone)}"
