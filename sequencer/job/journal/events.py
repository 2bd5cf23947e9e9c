"""What a journal holds: events that have happened and are never changed.

An event is made by whoever writes it, on whatever device, with an id of its own; the journal gives it its
place in the order. Operations stand in events under their names (``undo guard/screws``), never by number.
"""

from __future__ import annotations

import json
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from enum import Enum
from typing import Any

from sequencer.errors import SequencerError
from sequencer.job.journal.bodies import fault

MOST_BODY = 4 * 1024 * 1024
"""Bytes of an event's body: the largest machine file, whatever it is written in. A photo is a file beside the
journal."""

MOST_WORD = 200
"""Characters of a person's or a device's name."""


class EventKind(Enum):
    """What has happened; the value is the word in the journal. The body's keys stand beside each."""

    STARTED = "started"
    """Work began: ``{}``."""
    DONE = "done"
    """``{"ops": [operation, ...], "anyway": why, "prepared": [text, ...]}``; ``anyway`` only where the plan
    said that it can't be, ``prepared`` what was ticked of bench lists; ``by_hand`` why ``gates`` among them
    were closed without a figure. What is told after it was done has ``"ahead"``, the operation that it came
    before, and ``"late": true`` where its time says nothing; ``"in_words": true`` where a line told it."""
    SKIPPED = "skipped"
    """``{"ops": [...], "why": text}``: needless as the machine stands; counts as clear."""
    UNDONE = "undone"
    """``{"event": id}``, and ``"ops"`` where only some of what that event ticked is meant."""
    FOUND = "found"
    """Something that the file lacked."""
    DID = "did"
    """What somebody said that they did; the ticks come along: ``{"what": the line, "told": all that was said
    of it, "back": how it was read, "remarks": what else came of it, "edits": changes, "text": the lines that
    they change, "asks": the question that it leaves}``. ``"amends"``: the event of the act that this says
    more of; ``"unplaced"``: what was said, where a torque in it is of a joint that is still to come."""
    LOOKED = "looked"
    """A look at a part: ``{"part": part, "by": what with, "showed": text}``; without ``showed`` it showed
    nothing."""
    NOTE = "note"
    """``{"text": text, "op": operation}``; without ``op`` it is about the job."""
    PHOTO = "photo"
    """``{"file": name in photos/, "op": operation, "width": pixels, "height": pixels}``."""
    MEASURED = "measured"
    """``{"op": operation, "torque": text with unit, "angle": text, "wear": text}``, one or more of them."""
    LABEL = "label"
    """A pair of labels."""
    STOPPED = "stopped"
    """``{"why": text}``: the clock is stopped. ``"left"`` what could not be left so, ``"safe"`` what was done
    to make it safe first: its ticks, or what takes them back, come along."""
    RESUMED = "resumed"
    """``{}``: the clock runs again."""
    EVENING = "evening"
    """``{"until": time, "chance": share}``: when somebody has to be done, and how surely they want to be at a
    place to stop by then; ``"seconds"`` in place of ``until`` counts from when the clock is started. No work:
    it is not taken back."""
    TURNED = "turned"
    """From teardown to reassembly; with ``"steps"`` as in ``changed``."""
    TARGET = "target"
    """``{"off": [...], "reach": [...]}``: targets that came later; with ``edits`` where the file lacked
    them."""
    CORRECTED = "corrected"
    """What the file had wrong: ``{"what": text, "edits": changes, "text": the lines that they change}``."""
    TROUBLE = "trouble"
    """A fastener that broke or is seized."""
    MACHINE = "machine"
    """The machine file as it is, at the beginning and where a hand has changed it since:
    ``{"text": all of it, "file": its sha256}``. Nobody's act: it is not taken back."""
    UNKNOWN = "unknown"
    """An event that this program can't make sense of; it is left out of all but the log:
    ``{"kind": word, "why": what is wrong with it, "raw": the beginning of its body}``. Nothing writes one."""
    CHANGED = "changed"
    """A plan: ``{"steps": [[number, operation], ...], "why": text, "file": sha256 of the machine file}``."""


PLANNED = frozenset(
    (
        EventKind.DONE,
        EventKind.DID,
        EventKind.SKIPPED,
        EventKind.UNDONE,
        EventKind.FOUND,
        EventKind.TROUBLE,
        EventKind.CORRECTED,
        EventKind.TARGET,
        EventKind.TURNED,
    )
)
"""What may leave a plan that can't be done any more."""

TOLD = frozenset(
    (EventKind.FOUND, EventKind.TROUBLE, EventKind.CORRECTED, EventKind.TARGET, EventKind.TURNED)
)
"""What comes with a new plan that is told line by line."""


@dataclass(frozen=True, slots=True)
class Event:
    """One event as its writer made it.

    Attributes:
        id: A UUID of the writer's making: the same event sent twice is one event.
        time: When it happened by the device's own clock, UTC.
        body: Plain data; its keys belong to the kind.
    """

    kind: EventKind
    body: Mapping[str, Any] = field(default_factory=dict)
    person: str = ""
    device: str = ""
    time: datetime = field(default_factory=lambda: datetime.now(UTC))
    id: str = field(default_factory=lambda: str(uuid.uuid4()))


@dataclass(frozen=True, slots=True)
class Recorded:
    """An event in its place in the journal: ``seq`` orders; ``recorded`` is when it was taken (UTC)."""

    seq: int
    event: Event
    recorded: datetime


class EventError(SequencerError):
    """An event that no journal takes."""


def checked(event: Event) -> Event:
    """``event`` with its id and time in their one spelling.

    Raises:
        EventError: The id is no UUID, the time has no zone, a text is too long, or the body is no JSON or
            not as its kind has it.
    """
    try:
        identity = str(uuid.UUID(event.id))
    except (ValueError, AttributeError, TypeError):
        raise EventError(f"{event.id!r} is not the id of an event", "give each event a UUID") from None
    if event.time.tzinfo is None:
        raise EventError("the time of an event has no zone", "give it in UTC")
    for what, word in (("person", event.person), ("device", event.device)):
        if len(word) > MOST_WORD or not is_text(word):
            raise EventError(f"the name of the {what} is no name", f"use at most {MOST_WORD} characters")
    if len(body_text(event.body).encode()) > MOST_BODY:
        raise EventError(
            f"an event holds at most {MOST_BODY // 1024} KiB", "use fewer words, or several entries"
        )
    if why := fault(event.kind.value, event.body):
        raise EventError(f"this is no event of the kind {event.kind.value}: {why}", "write what its kind has")
    return Event(event.kind, event.body, event.person, event.device, event.time.astimezone(UTC), identity)


def is_text(word: str) -> bool:
    """Whether every database and file can keep ``word``: no zero byte, no half of a surrogate pair."""
    try:
        word.encode()
    except UnicodeEncodeError:
        return False
    return "\0" not in word


def body_text(body: Mapping[str, Any]) -> str:
    """The body as the journal stores it: JSON in ASCII, so that every database keeps it as it is."""
    try:
        text = json.dumps(body, separators=(",", ":"), allow_nan=False)
    except (TypeError, ValueError) as why:
        raise EventError(f"the body of an event is plain data: {why}", "use text, numbers, lists") from why
    return text
