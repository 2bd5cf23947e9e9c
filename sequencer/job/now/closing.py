"""Closing a torque gate: what a reading is for, what it is worth, and what the gate still lacks after it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sequencer.errors import SequencerError
from sequencer.job.journal.edits import MachineFile
from sequencer.job.now.choosing import numbers_text
from sequencer.job.now.marks import Mark, lacking, marks
from sequencer.job.now.moment import Moment
from sequencer.machine.model import Joint
from sequencer.plan.closing.readings import ALL, fasteners_of, judge, picked, stages_of
from sequencer.plan.closing.wrenches import Used, wrench_used
from sequencer.quantities import AngleQuantity
from sequencer.torque.wrenches.toolbox import Toolbox


@dataclass(frozen=True)
class TypedReading:
    """What a person said at a gate, as it was typed; None: nothing.

    Attributes:
        wrench: The torque wrench that was used; None: the one that the toolbox suggests.
        fasteners: Those that were pulled to it: ``all``, ``1-4``; one alone needs no word.
        stages: The stages that it is for: ``all``, ``2``; left out, the next one.
        source: Where a torque is from that nobody had said before.
        file: The job's machine file, which takes such a torque.
        box: The toolbox, where the job names one.
        prepared: What is ticked of the bench lists of the parts that are fitted; True: all of it.
    """

    torque: str | None = None
    angle: str | None = None
    wear: str | None = None
    wrench: str | None = None
    fasteners: str | None = None
    stages: str | None = None
    source: str | None = None
    file: MachineFile | None = None
    box: Toolbox | None = None
    prepared: tuple[str, ...] | bool = ()

    @property
    def readings(self) -> dict[str, str]:
        """The readings alone, by what they are of."""
        told = {"torque": self.torque, "angle": self.angle, "wear": self.wear}
        return {what: value.strip() for what, value in told.items() if value and value.strip()}

    @property
    def at_gate(self) -> bool:
        """Whether there is a reading for a gate."""
        return not {"torque", "angle"}.isdisjoint(self.readings)


@dataclass(frozen=True)
class HeardReading:
    """What a reading at a gate comes to.

    Attributes:
        body: What the journal keeps of it.
        problem: Why it does not hold; empty where it does.
        lacks: What the gate lacks after it, in words; empty where that is nothing.
        words: What to say of it.
    """

    body: Mapping[str, Any]
    problem: str
    lacks: str
    words: tuple[str, ...]


def heard(moment: Moment, joint: Joint, told: TypedReading, day: date) -> HeardReading:
    """Judge a reading at the gate of ``joint``.

    Raises:
        SequencerError: It is no torque or angle, or it does not say what it is for.
    """
    said = marks(moment.state).get(joint.path, ())
    before = lacking(joint, said)
    readings = told.readings
    stages = _stages(joint, told, tuple(before))
    names = _fasteners(joint, told, readings)
    early = [stage for stage in before if stage < min(stages)]
    if early:
        raise SequencerError(
            f"stage {early[0]} of {joint.path}, {stage_text(joint, early[0])}, comes first on all of them",
            "enter that stage's reading first, or say that this one is for all of them: --stages all",
            code="which-stage",
        )
    reading = judge(joint, readings.get("torque"), readings.get("angle"), stages)
    used = wrench_used(joint, reading.torque, told.wrench, told.box, day)
    problem = reading.problem or used.problem
    body = {
        **readings,
        "asked": reading.asked.text,
        "stages": list(stages),
        "fasteners": list(names),
        "wrench": used.name,
        "suggested": used.suggested or None,
        "caution": used.caution,
        "problem": problem,
    }
    left = before if problem else _without(before, stages, names)
    return HeardReading(
        body, problem, lacks_text(joint, left), tuple(_words(joint, readings, stages, names, used))
    )


def _stages(joint: Joint, told: TypedReading, open_ones: Sequence[int]) -> tuple[int, ...]:
    """The stages that a reading is for: those that were said, else the next, where it can be no other."""
    every = stages_of(joint)
    if told.stages:
        numbers = [str(number) for number in range(1, len(every) + 1)]
        return tuple(map(int, picked(told.stages, numbers, f"stage of {joint.path}")))
    if len(every) == 1 or not open_ones:
        return tuple(range(1, len(every) + 1))
    readings = told.readings
    both = {"torque", "angle"} <= readings.keys()
    pair = both and len(open_ones) > 1 and isinstance(every[open_ones[1] - 1], AngleQuantity)
    upcoming = open_ones[: 2 if pair else 1]
    if len(open_ones) > 1 and judge(joint, readings.get("torque"), readings.get("angle"), upcoming).problem:
        later = any(
            _fits(joint, readings, which) for which in (open_ones, *((number,) for number in open_ones[1:]))
        )
        if both or later:
            row = "; ".join(f"{number} {stage_text(joint, number)}" for number in open_ones)
            raise SequencerError(
                f"{joint.path} has {len(every)} stages, and this is not the next of them ({row})",
                f"say one after the other what was read, or --stages {ALL} if each of them was done",
                code="which-stage",
            )
    return tuple(upcoming)


def _fits(joint: Joint, readings: Mapping[str, str], stages: Sequence[int]) -> bool:
    """Whether a reading could be of these stages: a torque is none of an angle."""
    try:
        return not judge(joint, readings.get("torque"), readings.get("angle"), stages).problem
    except SequencerError:
        return False


def _fasteners(joint: Joint, told: TypedReading, readings: Mapping[str, str]) -> tuple[str, ...]:
    every = fasteners_of(joint)
    if told.fasteners:
        return picked(told.fasteners, every, f"fastener of {joint.path}")
    if len(every) > 1:
        raise SequencerError(
            f"{' and '.join(readings.values())} is one reading, and {joint.path} has {len(every)} fasteners",
            f"say which were pulled to it: --fasteners {ALL}, or those that were: --fasteners {every[0]}",
            code="which-fasteners",
        )
    return every


def _without(
    before: Mapping[int, tuple[str, ...]], stages: Sequence[int], names: Sequence[str]
) -> dict[int, tuple[str, ...]]:
    after = {
        stage: tuple(name for name in left if stage not in stages or name not in names)
        for stage, left in before.items()
    }
    return {stage: left for stage, left in after.items() if left}


def _words(
    joint: Joint, readings: Mapping[str, str], stages: Sequence[int], names: Sequence[str], used: Used
) -> list[str]:
    what = ", ".join(f"{what} {value}" for what, value in readings.items())
    words = [f"kept {what}{cover_text(joint, stages, names)}"]
    if used.name:
        whose = ", as the toolbox suggests" if used.suggested else ""
        words.append(f"wrench: {used.name}{whose}")
    return [*words, *([used.caution] if used.caution else [])]


def stage_text(joint: Joint, number: int) -> str:
    """``30 N.m``, ``90 deg``: a stage as the file has it."""
    return stages_of(joint)[number - 1].text


def cover_text(joint: Joint, stages: Sequence[int] | None, names: Sequence[str] | None) -> str:
    """What a reading is for, where there is a choice: ``, stage 2 of 4, all 10``; empty for one of one."""
    pieces = []
    of = len(stages_of(joint))
    if stages is not None and of > 1:
        every_one = "both stages" if of == 2 else f"all {of} stages"
        pieces.append(every_one if len(stages) == of else f"{_row('stage', stages)} of {of}")
    every = fasteners_of(joint)
    if names is not None and len(every) > 1:
        pieces.append(f"all {len(every)}" if len(names) == len(every) else _row("fastener", names))
    return "".join(f", {piece}" for piece in pieces)


def lacks_text(joint: Joint, left: Mapping[int, Sequence[str]]) -> str:
    """What a gate still lacks: ``stage 2 of 4, 60 N.m, fasteners 3-4; then 2 stages more``."""
    if not left:
        return ""
    if joint.torque is not None and joint.torque.open:
        return "its figure"
    stage, names = next(iter(left.items()))
    every, of = fasteners_of(joint), len(stages_of(joint))
    text = f"stage {stage} of {of}, {stage_text(joint, stage)}" if of > 1 else stage_text(joint, stage)
    text += f", {_row('fastener', names)}" if len(names) < len(every) else ""
    more = len(left) - 1
    return f"{text}; then {more} stage{'s' if more > 1 else ''} more" if more else text


def so_far(moment: Moment, joint: Joint) -> str:
    """What a gate still lacks, where something has been read at it; empty where nothing has, or all is."""
    said = [mark for mark in marks(moment.state).get(joint.path, ()) if mark.stands]
    left = lacking(joint, said)
    begun = any(isinstance(mark, Mark) and not mark.problem for mark in said)
    return f"still to come: {lacks_text(joint, left)}" if begun and left else ""


def _row(word: str, names: Sequence[object]) -> str:
    """``fastener 10``, ``fasteners 1-4, 7``, ``fasteners top, bottom``, as the file has them."""
    said = [str(name) for name in names]
    numbered = all(name.isdecimal() for name in said)
    which = numbers_text([int(name) for name in said]) if numbered else ", ".join(said)
    return f"{word}{'s' * (len(said) > 1)} {which}"
