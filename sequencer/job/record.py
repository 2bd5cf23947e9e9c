"""The torque record: every joint with a torque that the job has touched, what was asked and what was read.

What is open is on top. It is told from the events, so that nothing in it can be improved afterwards.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sequencer.graph.operations import Kind
from sequencer.job.events import EventKind, Recorded
from sequencer.job.gates import gate_joint
from sequencer.job.moment import Moment
from sequencer.machine.model import Joint
from sequencer.plan.present import Direction
from sequencer.plan.readings import asked_of, judge


@dataclass(frozen=True)
class Entry:
    """One joint in the record.

    Attributes:
        joint: Its path.
        asked: What the file asks for, with the tolerance in per cent.
        read: The torque that was read; empty where none was.
        angle: The angle that was confirmed.
        who: The person; ``when`` UTC, None while it is open.
        wrench: The torque wrench in the person's toolbox that serves it, where one is known.
        state: ``closed``, ``overridden``, ``open``.
        why: The reason of an override; or why it is open.
        step: The number of its step.
    """

    joint: str
    asked: str
    tolerance: float
    read: str
    angle: str
    who: str
    when: datetime | None
    wrench: str
    state: str
    why: str
    step: int | None


OPEN, OVERRIDDEN, CLOSED = "open", "overridden", "closed"
_RANK = {OPEN: 0, OVERRIDDEN: 1, CLOSED: 2}


def torque_record(moment: Moment, wrenches: dict[str, str] | None = None) -> tuple[Entry, ...]:
    """The record as it is now; open joints first, then overridden ones, each in the order of the steps.

    Args:
        moment: The job.
        wrenches: The wrench that serves each joint, by its path.
    """
    history = _history(moment)
    wanted = [path for path in _touched(moment) if asked_of(_joint(moment, path))]
    entries = [_entry(moment, path, history.get(path, []), (wrenches or {}).get(path, "")) for path in wanted]
    return tuple(sorted(entries, key=lambda entry: (_RANK[entry.state], entry.step or 0)))


def _joint(moment: Moment, path: str) -> Joint:
    return moment.machine.joint(*path.split("/", 1))


def _touched(moment: Moment) -> list[str]:
    """Joints with a torque that were undone, slackened or cracked on this job, put back ones included."""
    words = tuple(f"{kind.value} " for kind in (Kind.UNDO, Kind.SLACKEN, Kind.CRACK, Kind.TORQUE))
    done = [op for one in moment.state.of(EventKind.DONE) for op in one.event.body["ops"]]
    paths = dict.fromkeys(op.partition(" ")[2] for op in done if op.startswith(words))
    parts = moment.machine.parts
    known = (path.split("/", 1) for path in paths)
    return [f"{part}/{name}" for part, name in known if part in parts and name in parts[part].joints]


def _history(moment: Moment) -> dict[str, list[Recorded]]:
    """What happened to each joint's gate: ticks of its step, readings at it, and its being opened again."""
    found: dict[str, list[Recorded]] = {}
    kinds = (EventKind.DONE, EventKind.MEASURED, EventKind.SKIPPED)
    events = sorted((one for kind in kinds for one in moment.state.of(kind)), key=lambda one: one.seq)
    for one in events:
        ops = one.event.body.get("ops") or [one.event.body.get("op", "")]
        for op in ops:
            word, _, path = str(op).partition(" ")
            if word in ("torque", "undo", "slacken", "crack"):
                found.setdefault(path, []).append(one)
    return found


def _entry(moment: Moment, path: str, history: list[Recorded], wrench: str) -> Entry:
    asked = asked_of(_joint(moment, path))
    assert asked is not None
    gate = f"{Kind.TORQUE.value} {path}"
    closing: Recorded | None = None
    reading: Recorded | None = None
    for one in history:
        body = one.event.body
        if one.event.kind is EventKind.MEASURED and body.get("op") == gate:
            reading = one
        elif one.event.kind in (EventKind.DONE, EventKind.SKIPPED) and gate in body.get("ops", ()):
            closing = one
        elif one.event.kind is EventKind.DONE:
            closing = reading = None  # opened again: what was read before holds no more
    state, why = _judged(moment, path, closing, reading)
    event = (closing or reading or None) and (closing or reading).event  # type: ignore[union-attr]
    return Entry(
        joint=path,
        asked=asked.text,
        tolerance=float(asked.tolerance * 100),
        read=str(reading.event.body.get("torque", "")) if reading else "",
        angle=str(reading.event.body.get("angle", "")) if reading else "",
        who=event.person if event else "",
        when=event.time if event else None,
        wrench=wrench,
        state=state,
        why=why,
        step=moment.state.number(gate),
    )


def _judged(moment: Moment, path: str, closing: Recorded | None, reading: Recorded | None) -> tuple[str, str]:
    if closing is None:
        waiting = moment.present.direction is Direction.TOGETHER
        return OPEN, "not torqued yet" if waiting else "not put back yet"
    body = closing.event.body
    if closing.event.kind is EventKind.SKIPPED:
        return OPEN, f"skipped: {body.get('why', '')}"
    read = reading.event.body if reading else {}
    joint = gate_joint(moment, f"{Kind.TORQUE.value} {path}")
    assert joint is not None
    judged = judge(joint, read.get("torque"), read.get("angle"))
    if body.get("anyway"):
        return OVERRIDDEN, f"{body['anyway']}{f' ({judged.problem})' if judged.problem else ''}"
    return (CLOSED, "") if judged.closes else (OPEN, str(judged.problem))
