"""What was said at the torque gates: readings, overrides, skips. Each stays, whatever came after it.

Nothing here forgets: a mark that holds no more says what superseded it. A gate is closed exactly if marks
that stand, on a fastening that stands, say so for each of its stages and fasteners.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from enum import Enum

from sequencer.errors import SequencerError
from sequencer.graph.operations import Kind, Op
from sequencer.job.journal.events import Event, EventKind, Recorded
from sequencer.job.journal.replay import Struck
from sequencer.job.journal.state import ALONG, JobState
from sequencer.machine.model import PLUG, Joint
from sequencer.plan.closing.readings import JudgedReading, fasteners_of, judge, stages_of

_OPENS = frozenset((Kind.UNDO, Kind.SLACKEN, Kind.CRACK))
_FASTENS = frozenset((Kind.FASTEN, Kind.TIGHTEN, Kind.RETIGHTEN))


class MarkSaid(Enum):
    """What a mark is; the value is its word in the record."""

    READING = "reading"
    OVERRIDE = "override"
    HAND = "by hand"
    SKIP = "skip"


@dataclass(frozen=True)
class Superseded:
    """Why a mark holds no more, when and by whom that was said."""

    how: str
    time: datetime
    person: str


@dataclass(frozen=True)
class Mark:
    """One thing that was said at a gate.

    Attributes:
        event: The id of the event that said it, and of the one that it came along with.
        torque: What was read, with its unit; ``angle`` likewise. Empty where nothing was.
        stages: The stages that it covers, by number from 1; None: nobody said, so all of them.
        fasteners: The fasteners that it covers, by name; None likewise.
        wrench: The torque wrench that it was read on; empty where nobody said.
        suggested: The wrench is the one that the toolbox suggested, and nobody named another.
        caution: What was to be known of that wrench then: its calibration.
        problem: Why it did not hold when it was said; empty where it did.
        why: The reason of an override or a skip.
        superseded: What came after it; None as long as it stands.
    """

    said: MarkSaid
    event: tuple[str, str]
    time: datetime
    person: str
    torque: str = ""
    angle: str = ""
    stages: tuple[int, ...] | None = None
    fasteners: tuple[str, ...] | None = None
    wrench: str = ""
    suggested: bool = False
    caution: str = ""
    problem: str = ""
    why: str = ""
    superseded: Superseded | None = None

    @property
    def stands(self) -> bool:
        """Whether nothing has superseded it."""
        return self.superseded is None

    def covers(self, joint: Joint) -> frozenset[tuple[int, str]]:
        """What it is for: pairs of a stage and a fastener."""
        stages = range(1, len(stages_of(joint)) + 1) if self.stages is None else self.stages
        names = fasteners_of(joint) if self.fasteners is None else self.fasteners
        return frozenset((stage, name) for stage in stages for name in names)

    def problem_now(self, joint: Joint) -> str:
        """Why it does not hold: as it was said then, or against what the file asks by now."""
        if self.problem or self.said is not MarkSaid.READING:
            return self.problem
        try:
            return self._judged(joint).problem or ""
        except SequencerError as fault:
            return fault.problem

    def too_little(self, joint: Joint) -> bool:
        """Whether less was read than the file asks by now, so that a later reading makes it good."""
        try:
            return self._judged(joint).too_little
        except SequencerError:
            return False

    def _judged(self, joint: Joint) -> JudgedReading:
        return judge(joint, self.torque or None, self.angle or None, self.stages)


def marks(state: JobState) -> Mapping[str, tuple[Mark, ...]]:
    """Everything that was said at gates on this job, by joint, in order."""
    struck = Struck.of(state.history)
    found: dict[str, list[Mark]] = {}
    ops_of: dict[str, tuple[Op, ...]] = {}
    for one in state.history:
        event = one.event
        if event.kind is EventKind.UNDONE:
            if event.id not in struck.events:
                _take_back(found, one, ops_of)
            continue
        ops_of[event.id] = tuple(map(Op, event.body.get("ops") or [event.body.get("op", "")]))
        for op in ops_of[event.id]:
            kind, path, gate = op.kind, op.subject, op.gate
            if gate is not None and (mark := _mark(event, op)):
                found.setdefault(gate, []).append(mark)
            elif kind is Kind.DRAIN and event.kind is EventKind.DONE and f"{path}/{PLUG}" in found:
                _supersede(found, f"{path}/{PLUG}", Superseded("drained again", event.time, event.person))
            elif kind in _OPENS and event.kind is EventKind.DONE and path in found:
                _supersede(found, path, Superseded("undone again", event.time, event.person))
    return {path: tuple(said) for path, said in found.items()}


def _mark(event: Event, op: str) -> Mark | None:
    body = event.body
    mark = Mark(
        MarkSaid.READING, (event.id, str(body.get(ALONG, event.id))), event.time, event.person,
        why=str(body.get("anyway") or body.get("by_hand") or body.get("why") or ""),
    )  # fmt: skip
    if event.kind is EventKind.DONE and op in body.get("gates", ()):
        return replace(mark, said=MarkSaid.HAND)
    if event.kind is EventKind.SKIPPED:
        return replace(mark, said=MarkSaid.SKIP)
    if event.kind is EventKind.DONE:
        return replace(mark, said=MarkSaid.OVERRIDE) if body.get("anyway") else None
    if event.kind is not EventKind.MEASURED or not (body.get("torque") or body.get("angle")):
        return None
    return replace(
        mark,
        torque=str(body.get("torque", "")),
        angle=str(body.get("angle", "")),
        stages=tuple(body["stages"]) if "stages" in body else None,
        fasteners=tuple(map(str, body["fasteners"])) if "fasteners" in body else None,
        wrench=str(body.get("wrench", "")),
        suggested=bool(body.get("suggested")),
        caution=str(body.get("caution", "")),
        problem=str(body.get("problem", "")),
    )


def _take_back(found: dict[str, list[Mark]], one: Recorded, ops_of: Mapping[str, tuple[Op, ...]]) -> None:
    """What an undo takes back: the marks of its event, and those on a fastening that it takes back."""
    event = one.event
    target = str(event.body.get("event", ""))
    some = event.body.get("ops")
    for op in map(Op, some or ops_of.get(target, ())):
        if op.kind in _FASTENS and op.subject in found:
            _supersede(
                found, op.subject, Superseded("its fastening was taken back", event.time, event.person)
            )
    why = event.body.get("why")
    gone = Superseded(str(why), event.time, "") if why else Superseded("taken back", event.time, event.person)
    for path in found:
        if not some or path in {Op(op).gate for op in some}:
            _supersede(found, path, gone, target)


def _supersede(found: dict[str, list[Mark]], path: str, by: Superseded, event: str | None = None) -> None:
    found[path] = [
        replace(mark, superseded=by) if mark.stands and (event is None or event in mark.event) else mark
        for mark in found[path]
    ]


def covered(joint: Joint, said: Sequence[Mark]) -> frozenset[tuple[int, str]]:
    """What of a gate readings that hold and stand have closed: pairs of a stage and a fastener."""
    return frozenset(
        cell
        for mark in said
        if mark.said is MarkSaid.READING and mark.stands and not mark.problem_now(joint)
        for cell in mark.covers(joint)
    )


def lacking(joint: Joint, said: Sequence[Mark]) -> dict[int, tuple[str, ...]]:
    """What a gate still lacks: for each stage that is not done, its fasteners that no reading holds for.

    Of an open figure all is lacking.
    """
    if joint.torque is not None and joint.torque.open:
        return {1: fasteners_of(joint)}
    done = covered(joint, said)
    every = {
        stage: tuple(name for name in fasteners_of(joint) if (stage, name) not in done)
        for stage in range(1, len(stages_of(joint)) + 1)
    }
    return {stage: names for stage, names in every.items() if names}


def overridden(said: Sequence[Mark]) -> Mark | None:
    """The override by which a gate is closed; None for none."""
    return next((mark for mark in reversed(said) if mark.said is MarkSaid.OVERRIDE and mark.stands), None)


def by_hand(joint: Joint, said: Sequence[Mark]) -> Mark | None:
    """The mark by which an open figure was closed by hand; None for none, and once somebody says a figure."""
    if joint.torque is None or not joint.torque.open:
        return None
    return next((mark for mark in reversed(said) if mark.said is MarkSaid.HAND and mark.stands), None)


def closed(joint: Joint, said: Sequence[Mark]) -> bool:
    """Whether a gate is closed by what stands: readings that hold for all of it, an override, by hand."""
    return bool(overridden(said) or by_hand(joint, said) or not lacking(joint, said))


def read_anew(joint: Joint, said: Sequence[Mark]) -> Iterator[Mark]:
    """The same marks; a reading that later ones cover whole says so."""
    for place, mark in enumerate(said):
        later = [m for m in said[place + 1 :] if m.stands and m.said is MarkSaid.READING]
        over = mark.covers(joint) <= {cell for m in later for cell in m.covers(joint)} if later else False
        if mark.said is not MarkSaid.OVERRIDE and mark.stands and over:
            yield replace(mark, superseded=Superseded("read anew", later[-1].time, later[-1].person))
        else:
            yield mark
