"""Left over: which joints could miss fasteners that lie on the bench, the likeliest first.

Each joint that the job has undone is weighed by what is known of it: whether its fasteners are like those
that are left, whether it was fastened at all, and what was read there. What it comes to is told as values.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import Enum

from sequencer.errors import SequencerError
from sequencer.graph.operations import REACHES, Kind, subjects
from sequencer.graph.said import path_words
from sequencer.job.journal.state import JobState, Tick
from sequencer.job.now.bags import needs_bag
from sequencer.job.now.marks import MarkSaid, marks
from sequencer.job.now.moment import Moment
from sequencer.job.reports.leftover_alike import count_weight, likeness_of
from sequencer.machine.called import joints_in
from sequencer.machine.heard.joint import JointSaid
from sequencer.machine.model import Joint, Need
from sequencer.plan.closing.readings import fasteners_of
from sequencer.spoken import read

_LEFT = re.compile(r"\b(?:left(?: over)?|over)\W*$", re.IGNORECASE)
_BAG = re.compile(r"\b(?:from|in|of|out of)?\s*(?:the\s+)?bag\s+(?:no\.?\s*)?(\d+)\b", re.IGNORECASE)
TOGETHER = 3
"""So many steps ticked at once and more: one of them is easily ticked without being done."""


class Stand(Enum):
    """How a joint stands that fasteners may be missing from."""

    SKIPPED = "skipped"
    PASSED = "passed"
    AHEAD = "ahead"
    FASTENED = "fastened"


@dataclass(frozen=True)
class Lying:
    """What lies on the bench.

    Attributes:
        said: As it was said.
        count: How many.
        like: What is known of them.
        bag: The number of the bag that they were in; None where nobody said.
    """

    said: str
    count: int
    like: JointSaid
    bag: int | None = None


@dataclass(frozen=True)
class Suspect:
    """A joint that could miss them.

    Attributes:
        joint: The joint.
        weight: How likely, in steps of a natural logarithm; only to compare.
        alike: What agrees: ``thread``, ``length``, ``head``, ``class``, ``count``.
        stand: Whether it was fastened.
        tick: What says so; None where nothing does.
        step: The number of its fastening.
        together: How many steps were ticked along with it.
        read: How many of its fasteners a torque was read at; None where nothing was.
        bag: The number of its bag.
        in_front: Parts that have to come off again to look, the outermost first; none: it is in reach.
    """

    joint: Joint
    weight: float
    alike: tuple[str, ...]
    stand: Stand
    tick: Tick | None
    step: int | None
    together: int
    read: int | None
    bag: int | None
    in_front: tuple[str, ...]


def lying(text: str) -> Lying:
    """What is left over, in a person's words: ``2 M6x25``, ``one 10 mm nut from bag 4``.

    Raises:
        SequencerError: It says no fastener.
    """
    bag = _BAG.search(text)
    said = _BAG.sub(" ", text).strip()
    line = read(said if _LEFT.search(said) else f"{said} left over")
    found = [joint for did in line.acts for joint in did.joints]
    if not found:
        raise SequencerError(
            f"{text.strip()!r} says no fastener", "say how many of what: 2 M6x25, one nut 13, 3 T25 screws"
        )
    if len(found) > 1:
        raise SequencerError(
            f"{text.strip()!r} says several fasteners", "one kind at a time: 2 M6x25, then the rest"
        )
    one = found[0]
    doubt = next((doubt.number for doubt in one.doubts if doubt.number is not None), None)
    if one.head is None and one.count is None and doubt is not None:  # 10 bolts: nobody has ten left over
        one = replace(one, head=str(doubt), count=None)
    return Lying(text.strip(), one.count or 1, one, int(bag[1]) if bag else None)


def suspects(moment: Moment, left: Lying) -> tuple[Suspect, ...]:
    """The joints of this job that could miss them, the likeliest first."""
    opened = dict.fromkeys(op.subject for op in moment.state.done if op.kind is Kind.UNDO)
    joints, job = joints_in(moment.machine), _Job(moment)
    found = [
        suspect
        for path in opened
        if path in joints and needs_bag(joints[path]) and (suspect := _weighed(job, joints[path], left))
    ]
    return tuple(sorted(found, key=lambda one: -one.weight))


def likeliest(moment: Moment, said: Iterable[JointSaid]) -> Iterator[str]:
    """Where fasteners that somebody told of in passing could be missing, a line for each sort of them."""
    for one in said:
        found = suspects(moment, Lying(one.said, one.count or 1, one))[:_TOLD]
        if found:
            names = ", then ".join(
                f"{path_words(moment.machine, each.joint.path)} ({each.stand.value})" for each in found
            )
            yield f"{one.said}: look at {names}"


_TOLD = 3


class _Job:
    """What is looked up again and again of a job."""

    def __init__(self, moment: Moment) -> None:
        self.moment = moment
        self.state = moment.state
        self.said = marks(moment.state)
        self.fastened = [op for op in moment.state.ticks if op.kind is Kind.FASTEN]
        self.away = subjects(moment.state.done, *REACHES) - subjects(moment.state.back, *_BACK)
        """The parts that are off or moved now."""


def _weighed(job: _Job, joint: Joint, left: Lying) -> Suspect | None:
    """What speaks for a joint; None where its fasteners are others."""
    likeness = likeness_of(joint, left.like)
    if likeness is None:
        return None
    weight, alike = likeness
    more, counted = count_weight(joint, left.count)
    bag = job.moment.bags.get(joint.path)
    number = bag.number if bag else None
    if left.bag is not None:
        weight += _BAG_SAME if number == left.bag else _BAG_OTHER
    stand, tick, step = _stand(job.state, joint)
    together = _together(job.state, tick)
    read = _read(job, joint)
    weight += more + _of_stand(job, stand, tick, together) + _of_reading(joint, read, left.count)
    return Suspect(
        joint,
        weight,
        (*alike, *(("count",) if counted else ())),
        stand,
        tick,
        step,
        together,
        read,
        number,
        _in_front(job, joint),
    )


_BAG_SAME, _BAG_OTHER = 5.0, -3.0


# ---- Whether it was fastened ----


def _stand(state: JobState, joint: Joint) -> tuple[Stand, Tick | None, int | None]:
    step = Kind.FASTEN.of(joint.path)
    number = state.number(step)
    if (skipped := state.skipped.get(step)) is not None:
        return Stand.SKIPPED, skipped, number
    if (tick := state.ticks.get(step)) is not None:
        return Stand.FASTENED, tick, number
    later = [n for n, op in state.steps if n is not None and op in state.ticks]
    passed = state.turned and number is not None and any(n > number for n in later)
    return (Stand.PASSED if passed or (state.turned and number is None) else Stand.AHEAD), None, number


def _of_stand(job: _Job, stand: Stand, tick: Tick | None, together: int) -> float:
    if stand is Stand.SKIPPED:
        return 4.0
    if stand is Stand.PASSED:
        return 3.0
    if stand is Stand.AHEAD:
        return 2.0
    assert tick is not None
    recent = (job.fastened.index(tick.op) + 1) / len(job.fastened)
    return recent + (0.7 if together >= TOGETHER else 0.0) + (1.0 if tick.anyway else 0.0)


def _together(state: JobState, tick: Tick | None) -> int:
    if tick is None:
        return 0
    return max(sum(one.event == tick.event for one in state.ticks.values()) - 1, 0)


def _read(job: _Job, joint: Joint) -> int | None:
    """How many of a joint's fasteners a torque was read at."""
    said = [mark for mark in job.said.get(joint.path, ()) if mark.stands and mark.said is MarkSaid.READING]
    if not said:
        return None
    return len({name for mark in said for name in (mark.fasteners or fasteners_of(joint))})


def _of_reading(joint: Joint, read: int | None, count: int) -> float:
    if read is None:
        return 0.0
    return -2.0 if read >= joint.count else (1.5 if joint.count - read >= count else 0.5)


# ---- What is in front of it by now ----


def _in_front(job: _Job, joint: Joint) -> tuple[str, ...]:
    """The parts that are back and have to come off again to look at a joint, the outermost first.

    Where there are several ways in, the first that is open, else the first that the file has.
    """
    found: dict[str, None] = {}
    part = job.moment.machine.parts[joint.part]
    for need in (*part.to_reach, *joint.waits):
        _clear(job, need, found, (joint.part,))
    return tuple(found)


def _clear(job: _Job, need: Need, found: dict[str, None], on_the_way: tuple[str, ...]) -> None:
    if any(atom.part in found or atom.part in job.away or atom.part in on_the_way for atom in need.any_of):
        return
    name = need.any_of[0].part
    part = job.moment.machine.parts[name]
    for other in part.all_waits:
        _clear(job, other, found, (*on_the_way, name))
    found[name] = None


_BACK = (Kind.FIT, Kind.MOVE_BACK, Kind.SEAT)
