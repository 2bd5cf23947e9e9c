"""The torque record: every joint with a torque that the job has touched, and all that was said at its gate.

What is open is on top. It is told from the events, so that nothing in it can be improved afterwards: a
reading that was followed by a better one, or taken back, stays and says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sequencer.graph.operations import Kind, Op
from sequencer.job.journal.events import EventKind
from sequencer.job.now.closing import lacks_text
from sequencer.job.now.gates import gate_joint, gate_of, is_open
from sequencer.job.now.marks import Mark, MarkSaid, by_hand, closed, lacking, marks, overridden, read_anew
from sequencer.job.now.moment import Moment
from sequencer.job.work.figures import FIGURE
from sequencer.machine.model import PLUG, Joint
from sequencer.plan.closing.readings import asked_of
from sequencer.plan.onward.present import Direction


@dataclass(frozen=True)
class RecordEntry:
    """One joint in the record.

    Attributes:
        joint: Its path.
        asked: What the file asks for, with the tolerance in per cent; empty where that figure is open.
        state: ``closed``, ``overridden``, ``open``.
        marks: All that was said at its gate, in order: what holds no more says what superseded it.
        odd: What to know of the fastening as it stands: readings on it that did not hold, in words.
        why: The reason of an override; or why it is open.
        step: The number of its step.
        again: It has its torque, and is open as it is due again after the job.
        figure: ``open``: nobody has said its torque; ``told``: it was open, and was said on this job; empty
            where the file came with it.
        source: Where one that was told is from, as it was said.
    """

    joint: str
    asked: str
    tolerance: float
    state: str
    marks: tuple[Mark, ...]
    odd: tuple[str, ...]
    why: str
    step: int | None
    again: bool = False
    figure: str = ""
    source: str = ""

    @property
    def last(self) -> Mark | None:
        """The last thing that was said and stands; None for nothing."""
        return next((mark for mark in reversed(self.marks) if mark.stands), None)

    @property
    def when(self) -> datetime | None:
        """When that was said, UTC; ``who`` said it."""
        return self.last.time if self.last else None

    @property
    def who(self) -> str:
        """Who said it; empty for nobody."""
        return self.last.person if self.last else ""

    @property
    def read(self) -> str:
        """The torque that was read then; ``angle`` likewise. Empty where none was."""
        return self._of_last("torque")

    @property
    def angle(self) -> str:
        """The angle that was confirmed."""
        return self._of_last("angle")

    @property
    def wrench(self) -> str:
        """The wrench that it was read on; empty where nobody said."""
        return self._of_last("wrench")

    def _of_last(self, what: str) -> str:
        found = (m for m in reversed(self.marks) if m.stands and m.said is MarkSaid.READING)
        mark = next(found, None)
        return str(getattr(mark, what)) if mark else ""


OPEN, OVERRIDDEN, CLOSED = "open", "overridden", "closed"
_RANK = {OPEN: 0, OVERRIDDEN: 1, CLOSED: 2}


def torque_record(moment: Moment) -> tuple[RecordEntry, ...]:
    """The record as it is now; open joints first, then overridden ones, each in the order of the steps."""
    said = marks(moment.state)
    joints = (gate_joint(moment, gate_of(moment.machine, path)) for path in _touched(moment))
    entries = [
        _entry(moment, joint, said.get(joint.path, ()))
        for joint in joints
        if joint is not None and joint.torque is not None
    ]
    return tuple(sorted(entries, key=lambda entry: (_RANK[entry.state], entry.step or 0)))


_PLUGS = (Kind.DRAIN, Kind.CLOSE)
"""What is done at a fluid's plug."""


def _touched(moment: Moment) -> list[str]:
    """Joints that were undone, slackened, cracked or torqued on this job, put back ones included."""
    done = [op for one in moment.state.of(EventKind.DONE) for op in one.event.body["ops"]]
    read = [one.event.body.get("op", "") for one in moment.state.of(EventKind.MEASURED)]
    paths = (
        f"{op.subject}/{PLUG}" if op.kind in _PLUGS else op.subject
        for op in map(Op, (*done, *read))
        if op.kind in (*_PLUGS, Kind.UNDO, Kind.SLACKEN, Kind.CRACK, Kind.TORQUE)
    )
    return list(dict.fromkeys(paths))


def _entry(moment: Moment, joint: Joint, said: tuple[Mark, ...]) -> RecordEntry:
    asked = asked_of(joint)
    state, why = _judged(moment, joint, said)
    due = joint.torque.again if joint.torque else None
    again = due is not None and state != OPEN
    if again:
        state, why = OPEN, "; ".join(filter(None, (f"due again: {due}", why and f"overridden: {why}")))
    figure = _figure(moment, joint)
    return RecordEntry(
        joint=joint.path,
        asked=asked.text if asked else "",
        tolerance=float(asked.tolerance * 100) if asked else 0.0,
        figure=figure,
        source=(joint.torque.source or "") if figure == "told" and joint.torque else "",
        state=state,
        marks=tuple(read_anew(joint, said)),
        odd=tuple(_odd(joint, said)),
        why=why,
        step=moment.state.number(gate_of(moment.machine, joint.path)),
        again=again,
    )


def _figure(moment: Moment, joint: Joint) -> str:
    if is_open(joint):
        return "open"
    told = (one.event.body for one in moment.state.of(EventKind.CORRECTED))
    return "told" if any(body.get(FIGURE) and joint.path in body.get("joints", ()) for body in told) else ""


def _judged(moment: Moment, joint: Joint, said: tuple[Mark, ...]) -> tuple[str, str]:
    if (anyway := overridden(said) or by_hand(joint, said)) is not None:
        return OVERRIDDEN, anyway.why if anyway.said is MarkSaid.OVERRIDE else f"no figure: {anyway.why}"
    if closed(joint, said):
        return CLOSED, ""
    standing = [mark for mark in said if mark.stands]
    if standing and standing[-1].said is MarkSaid.SKIP:
        return OPEN, f"skipped: {standing[-1].why}"
    if not standing:
        waiting = moment.present.direction is Direction.TOGETHER
        asked = "nobody has said its torque; " if is_open(joint) else ""
        return OPEN, f"{asked}not torqued yet" if waiting else f"{asked}not put back yet"
    problem = standing[-1].problem_now(joint)
    return OPEN, problem or f"still to come: {lacks_text(joint, lacking(joint, standing))}"


def _odd(joint: Joint, said: tuple[Mark, ...]) -> list[str]:
    """Readings on the fastening as it stands that did not hold.

    One of too much stays so whatever is read after it: the fastener has borne it. More makes too little good.
    """
    return [
        f"{mark.problem_now(joint)} (read {mark.time.astimezone():%Y-%m-%d %H:%M}"
        f"{f', {mark.person}' if mark.person else ''})"
        for mark, now in zip(said, read_anew(joint, said), strict=True)
        if mark.stands and mark.said is MarkSaid.READING and mark.problem_now(joint)
        if now.stands or not mark.too_little(joint)
    ]


def reservations(moment: Moment) -> tuple[tuple[str, str], ...]:
    """What "all is back" would hide, as (what, why): what was skipped, done anyway, or is odd at a gate.

    ``what`` is the name of an operation, or the path of a joint.
    """
    state = moment.state
    gates = [entry for entry in torque_record(moment) if entry.state != CLOSED or entry.odd]
    told = {gate_of(moment.machine, entry.joint) for entry in gates}
    skipped = ((tick.op, f"skipped: {tick.why}") for tick in state.skipped.values())
    anyway = ((tick.op, f"against the file: {tick.anyway}") for tick in state.ticks.values() if tick.anyway)
    steps = [(op, why) for op, why in (*skipped, *anyway) if op not in told]
    return (*steps, *((entry.joint, "; ".join(_reserved(entry))) for entry in gates))


def _reserved(entry: RecordEntry) -> list[str]:
    first = {OPEN: f"torque open: {entry.why}", OVERRIDDEN: f"torque overridden: {entry.why}"}
    own = first.get(entry.state)
    return [*([own] if own else []), *(text for text in entry.odd if not own or text not in own)]


@dataclass(frozen=True)
class Prepared:
    """A part that was fitted: what was ticked of its bench list, what was not, who did it and when."""

    part: str
    ticked: tuple[str, ...]
    left: tuple[str, ...]
    person: str
    time: datetime


def bench_record(moment: Moment) -> tuple[Prepared, ...]:
    """The bench lists of the parts that are fitted, in the order in which they were."""
    found = moment.bench_lists()
    lists = ((tick, found.get(tick.op, ())) for tick in moment.state.ticks.values() if tick.back)
    return tuple(
        Prepared(
            tick.op.subject,
            tuple(text for text in listed if text in tick.prepared),
            tuple(text for text in listed if text not in tick.prepared),
            tick.person,
            tick.time,
        )
        for tick, listed in lists
        if listed
    )
