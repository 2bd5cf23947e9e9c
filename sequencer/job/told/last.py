"""What was told before, as far as a line may speak of it: the last act, and the question that it left."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sequencer.graph.operations import Op
from sequencer.job.journal.events import EventKind, Recorded
from sequencer.job.now.moment import Moment
from sequencer.job.work.undoing import ops_of
from sequencer.machine.called import part_label
from sequencer.machine.facts.taken import Told
from sequencer.machine.heard.joint import JointSaid, answered_count
from sequencer.spoken import Context, read
from sequencer.spoken.asking import ONLY_A_NOTE
from sequencer.spoken.details import tightened
from sequencer.spoken.names import known_name
from sequencer.spoken.values import (
    Act,
    Change,
    Correction,
    Did,
    Heard,
    Line,
    Name,
    Said,
    ToldQuestion,
    ToldReason,
)

LINE, ANSWER = "line", "answer"
WAY = "way"
ROOM = "just for room"
Entries = Sequence[Sequence[str]]
"""What was said of one act: the line, then corrections and answers, each after the word for which it is."""

NO_MORE = ("yes", "none", "nothing", "don't know", "dont know", "no idea")
"""Answers that leave an act as it was told."""

_OF_A_JOINT = ("count", "head", "kind", "thread")
_NAMED = 2
"""Of so many things that are said of a joint one may name it."""

SAY_AGAIN = "say it again"


def only_a_note(about: str, text: str) -> bool:
    """An answer by which a line is what it says, and nothing was done."""
    plain = text.strip(" .").casefold()
    return plain == ONLY_A_NOTE or (about == "meaning" and plain == "no")


@dataclass(frozen=True)
class ToldAct:
    """An act that was told.

    Attributes:
        events: Its event, and those that say more of it.
        entries: All that was said of it.
        part: The part that it was about; None where it was about none.
        question: What it left to be asked.
    """

    events: tuple[Recorded, ...]
    entries: tuple[tuple[str, ...], ...]
    part: str | None
    question: ToldQuestion | None

    @property
    def root(self) -> Recorded:
        """The event that the others say more of."""
        return self.events[0]

    def ops(self, moment: Moment) -> tuple[str, ...]:
        """All that it ticked."""
        return tuple(op for one in self.events for op in ops_of(moment, one))

    def dids(self, moment: Moment) -> tuple[Said, ...]:
        """Its acts, with all that was put right."""
        added = {part for one in self.events for part in _added(one.event.body)}
        return folded(self.entries, {k: v for k, v in labels(moment).items() if k not in added}).said


def labels(moment: Moment) -> dict[str, str]:
    """What every part of the job's machine is called."""
    return {key: part_label(part) for key, part in moment.machine.parts.items()}


def told_by(moment: Moment, person: str) -> Sequence[Recorded]:
    """The lines that a person told, on whichever device; those of all where they told none."""
    events = moment.state.of(EventKind.DID)
    return [one for one in events if one.event.person == person] or events


def last_told(moment: Moment, person: str) -> ToldAct | None:
    """The last act that a person told and that stands: what they correct, and what they are asked about."""
    events = told_by(moment, person)
    return _told(moment, events[-1]) if events else None


def last_part(moment: Moment, person: str) -> str | None:
    """The part that a person told of last."""
    for one in reversed(told_by(moment, person)):
        if part := one.event.body.get("part"):
            return str(part) if part in moment.machine.parts else None
    return None


def told_after(moment: Moment, act: ToldAct) -> Told | None:
    """What the order has next behind what an act did; None: nothing came after it."""
    own = {op.part or op.subject for op in map(Op, act.ops(moment))}
    order = moment.machine.taken_apart.order
    last = max((n for n, told in enumerate(order) if told.atom.part in own), default=len(order))
    return next(iter(order[last + 1 :]), None)


def _told(moment: Moment, event: Recorded) -> ToldAct:
    body = event.event.body
    root = body.get("amends", event.event.id)
    told = moment.state.of(EventKind.DID)
    events = [one for one in told if root in (one.event.id, one.event.body.get("amends"))]
    asks: Mapping[str, Any] = body.get("asks") or {}
    question = None
    if asks.get("text"):
        choices = tuple(str(one) for one in asks.get("choices", ()))
        question = ToldQuestion(str(asks.get("about", "")), str(asks["text"]), choices)
    entries = tuple(tuple(map(str, entry)) for entry in body.get("told", ()))
    return ToldAct(tuple(events), entries, body.get("part"), question)


def _added(body: Mapping[str, Any]) -> set[str]:
    """The parts that an act put into the file."""
    return {str(path[1]) for what, path, *_ in body.get("edits", ()) if what == "add" and path[0] == "parts"}


def folded(entries: Entries, parts: Mapping[str, str]) -> Line:
    """The acts of a line with all corrections and answers in them."""
    if not entries:
        return Line("")
    (_, first, *_), *more = entries
    line = read(first, Context(parts))
    for kind, *words in more:
        if kind == ANSWER and only_a_note(words[0], words[-1]):
            line = Line(first, notes=(first,))
        at = next((n for n in reversed(range(len(line.said))) if isinstance(line.said[n], Did)), None)
        if at is None:
            continue
        did = line.said[at]
        assert isinstance(did, Did)
        if kind == ANSWER and words[0] == WAY:
            did = replace(did, way_of=(*did.way_of, *ways_in(words[-1], parts)))
        else:
            did = corrected(did, changes_of(kind, words, did, parts), parts)
        said = (*line.said[:at], did, *line.said[at + 1 :])
        line = replace(line, said=said, question=None)
    return line


def changes_of(kind: str, words: Sequence[str], did: Did, parts: Mapping[str, str]) -> tuple[Change, ...]:
    """What a correction or an answer changes."""
    if kind == ANSWER:
        about, text = words[0], words[-1]
        return _answered(about, text, did, parts)
    reading = read(words[0], Context(parts, did))
    return tuple(c for one in reading.said if isinstance(one, Correction) for c in one.changes)


def _answered(about: str, text: str, did: Did, parts: Mapping[str, str]) -> tuple[Change, ...]:
    """What an answer to a question changes; nothing where it was no answer to that."""
    plain = " ".join(text.split())
    if not plain or plain.casefold().strip(".") in NO_MORE:
        return ()
    number = answered_count(plain)
    if about == "part":
        return (Change("part", re.sub(r"^another: ?", "", plain), plain),)
    if about == "act":
        acts = {act.value: act for act in Act}
        return (Change("act", acts[plain.casefold()], plain),) if plain.casefold() in acts else ()
    if about in ("count", "correction") and number:
        what, value = number
        return (Change(what, str(value) if what == "head" else value, plain),)
    again = read(f"no, {plain}", Context(parts, did))
    changes = tuple(c for one in again.said if isinstance(one, Correction) for c in one.changes)
    return tuple(one for one in changes if one.what == about) or changes[:1]


def corrected(did: Did, changes: Iterable[Change], parts: Mapping[str, str]) -> Did:
    """An act with what was wrong put right."""
    changes = tuple(changes)
    at = _meant(did, changes)
    for one in changes:
        match one.what:
            case "part":
                did = replace(did, part=_name(str(one.value), parts))
            case "act" if isinstance(one.value, Act):
                did = replace(did, act=Heard(one.value, one.words))
            case "position":
                did = replace(did, position=Heard(str(one.value), one.words))
            case "torque":
                did = tightened(did, str(one.value))
            case _:
                joints = did.joints or (JointSaid(word="fastener", count=1),)
                did = replace(did, joints=(*joints[:at], _joint(joints[at], one), *joints[at + 1 :]))
    return did


def _meant(did: Did, changes: Sequence[Change]) -> int:
    """Which joint a change is about: the only one of the kind, and head, that it names; else the last.

    A kind or a head alone is what is put right, and names nothing.
    """
    last = max(len(did.joints) - 1, 0)
    said = {one.what: str(one.value) for one in changes if one.what in _OF_A_JOINT}
    if len(said) < _NAMED or not did.joints:
        return last
    kind = said.get("kind", did.joints[last].kind)
    found = [n for n, one in enumerate(did.joints) if one.kind == kind]
    if len(found) > 1:
        found = [n for n in found if did.joints[n].head == said.get("head")]
    return found[0] if len(found) == 1 else last


def ways_in(text: str, parts: Mapping[str, str]) -> tuple[Name | ToldReason, ...]:
    """What a part was in the way of, by an answer."""
    if text.strip(" .").casefold() == ROOM:
        return (ToldReason.ROOM,)
    pieces = (
        piece.strip().removeprefix("the ").strip(" .") for piece in text.replace(" and ", ",").split(",")
    )
    return tuple(_name(one, parts) for one in pieces if one and one.casefold() not in NO_MORE)


def _name(text: str, parts: Mapping[str, str]) -> Name:
    exact = next((key for key, label in parts.items() if label.casefold() == text.casefold()), None)
    return Name(parts[exact], exact, text) if exact else replace(known_name(text, parts), near=())


def _joint(joint: JointSaid, change: Change) -> JointSaid:
    match change.what:
        case "count":
            count = int(str(change.value))
            return replace(joint, count=count, counted=True, doubts=())
        case "head":
            unsaid = joint.count is None and any(doubt.about == "count" for doubt in joint.doubts)
            several = replace(joint, count=None) if unsaid else joint
            return replace(several, head=str(change.value), family="", doubts=())
        case "kind":
            same = joint.kind == change.value  # it keeps its own word
            return joint if same else replace(joint, kind=str(change.value), word=str(change.value))
        case "thread":
            return replace(joint, thread=str(change.value), doubts=())
        case _:
            return joint
