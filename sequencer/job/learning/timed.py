"""What a job's clock tells: stretches of one person's work, and what is known of them and the machine."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from sequencer.job.learning.pace import read_pace, records_of
from sequencer.job.now.moment import Moment
from sequencer.machine.facts.learned import Learned
from sequencer.plan.hours.records import JobRecord, Judged, Stretch, judged, known_from
from sequencer.plan.order.replay import replay
from sequencer.plan.order.setups import Changes
from sequencer.plan.plan import Step


@dataclass(frozen=True)
class TimedStretch:
    """A timed stretch of one person's work: seconds ``taken`` and ``planned``, and what was done in it."""

    ticked: int
    taken: float
    planned: float
    done: Sequence[Step]


FARTHEST = 8
"""A stretch that took this many times what was planned, or as little a share of it, says nothing of a pace:
a forgotten stop, or ticks that were caught up on."""

ONE_TELLING = 60
"""Seconds within which acts told one after another are told in one go, after their work (a guess of ours)."""


def timed(moment: Moment, person: str) -> Iterator[TimedStretch]:
    """What a person ticked with the clock running, on both ways.

    Steps that are ticked or told right after others were done together with them: they are one stretch. Where
    there is none before, the clock was started after the work, and what was caught up on says nothing; nor
    does a stretch that comes to far less than its work takes, however many ticks it is of.
    """
    return (one for one in _stretches(moment, person) if one.taken * FARTHEST >= one.planned)


def _stretches(moment: Moment, person: str) -> Iterator[TimedStretch]:
    """What was done in one go, each with its time."""
    steps = {step.operation.name: step for step in _ticked(moment)}
    found: TimedStretch | None = None
    until = None
    for spell in moment.state.spells:
        done = [step for op in spell.ops if (step := steps.get(op))]
        planned = float(sum(step.seconds + step.change_seconds for step in done))
        if spell.person != person or not planned:
            continue
        taken = spell.seconds or 0.0
        caught_up = taken * FARTHEST < planned or (spell.told and taken < ONE_TELLING)
        if caught_up and found is not None and spell.seconds is not None and spell.began == until:
            told = (found.ticked + len(spell.ops), found.taken + taken, found.planned + planned)
            found, until = TimedStretch(*told, [*found.done, *done]), spell.ended
            continue
        if found is not None:
            yield found
        found, until = None if caught_up else TimedStretch(len(spell.ops), taken, planned, done), spell.ended
    if found is not None:
        yield found


def _ticked(moment: Moment) -> Iterator[Step]:
    """What was ticked on the way in, in its order, with what it was expected to take; and on the way back."""
    operations = moment.whole.operations
    order = [op for op in moment.state.ticks if op in operations]
    yield from replay(moment.whole, order, Changes.of(moment.machine))
    if moment.state.back:
        back = moment.home.back.graph
        order = [op for op in moment.state.back if op in back.operations]
        yield from replay(back, order, Changes.of(moment.machine, moment.home.back.drives))


def known_of(moment: Moment, person: str) -> Learned:
    """What is known of the person and the machine: by former jobs, and by what this one has told so far.

    Raises:
        SequencerError: A pace file that the job names has faults.
    """
    return judged_by(moment, person, former_records(moment, person), timed(moment, person)).known


def judged_by(
    moment: Moment, person: str, former: Sequence[JobRecord], told: Iterable[TimedStretch]
) -> Judged:
    """What stretches of this job tell on top of former ones."""
    before = [one for one in former if one.job != moment.card.id or not one.job]
    stretches = [Stretch(one.done, one.taken) for one in told]
    return judged(known_from(before, moment.machine, person), moment.machine, stretches)


def others(told: Iterable[TimedStretch], without: Collection[str]) -> list[TimedStretch]:
    """The stretches in which nothing was done to these joints."""
    return [one for one in told if not any(step.operation.subject in without for step in one.done)]


def former_records(moment: Moment, person: str) -> tuple[JobRecord, ...]:
    """What the pace files that the job names say of a person; one that is not there says nothing."""
    paces = [read_pace(path) for path in map(Path, moment.card.pace) if path.is_file()]
    own = [one for one in paces if one.person.casefold() == person.casefold() or not one.person]
    return tuple(record for one in own for record in records_of(one))
