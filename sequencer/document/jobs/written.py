"""What a job has on record for each box of its gates, so that a sheet printed later has it in its boxes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from sequencer.document.jobs.record import mark_words
from sequencer.job.now.marks import Mark, MarkSaid, marks
from sequencer.job.now.moment import Moment
from sequencer.machine.model import Joint
from sequencer.plan.closing.readings import fasteners_of, stages_of
from sequencer.quantities import TorqueQuantity, parse_torque

DONE = "done"
"""What stands in a box of which only is known that it was done."""


@dataclass(frozen=True)
class Written:
    """What stands in one box: the reading with its unit, whose it is, on which wrench, when.

    ``read`` is the torque that was read; None for an angle, and where it is only known that it was done.
    """

    text: str
    initials: str
    wrench: str
    time: datetime
    read: TorqueQuantity | None = None

    def beside(self, unit: str) -> str:
        """The reading as it stands before a printed ``unit``: without one where that is its own."""
        if self.read is None or self.read.unit != unit:
            return self.text
        return f"{float(self.read.value):g}"


Readings = Mapping[tuple[int, str], Written]
"""Of one joint, by stage (from 1) and fastener."""


def readings(moment: Moment) -> dict[str, Readings]:
    """What was read at each gate and holds, by joint."""
    return {
        joint.path: {cell: one for mark in said if _holds(joint, mark) for cell, one in _cells(joint, mark)}
        for joint, said in _gates(moment)
    }


def said_otherwise(moment: Moment) -> dict[str, tuple[str, ...]]:
    """What else stands at each gate, in words: that it was closed anyway, by hand, or skipped."""
    return {
        joint.path: tuple(
            mark_words(moment, joint.path, mark)
            for mark in said
            if mark.stands and mark.said is not MarkSaid.READING
        )
        for joint, said in _gates(moment)
    }


def _gates(moment: Moment) -> Iterator[tuple[Joint, tuple[Mark, ...]]]:
    for path, said in marks(moment.state).items():
        try:
            yield moment.machine.joint_at(path), said
        except KeyError:  # the file has it no more
            continue


def _holds(joint: Joint, mark: Mark) -> bool:
    return mark.said is MarkSaid.READING and mark.stands and not mark.problem_now(joint)


def _cells(joint: Joint, mark: Mark) -> Iterator[tuple[tuple[int, str], Written]]:
    """A reading stands at the last torque that it covers; of those before it is known that they were done."""
    stages = stages_of(joint)
    torques = [number for number, stage in enumerate(stages, start=1) if isinstance(stage, TorqueQuantity)]
    covered = [number for number in torques if mark.stages is None or number in mark.stages]
    initials = "".join(word[0] for word in mark.person.split()).upper()
    for number, fastener in sorted(mark.covers(joint)):
        text, read = DONE, None
        if number not in torques:
            text = mark.angle or DONE
        elif covered and number == covered[-1]:
            text = mark.torque or DONE
            read = parse_torque(mark.torque) if mark.torque else None
        if fastener in fasteners_of(joint):
            yield (number, fastener), Written(text, initials, mark.wrench, mark.time, read)
