"""What a plan can't hold and nobody may forget: what was left out, is out of reach, or still cures."""

from __future__ import annotations

from datetime import datetime

from sequencer.document.clean import clean
from sequencer.document.jobs.curing import cure_lines
from sequencer.graph.said import path_words, sentence
from sequencer.job.now.moment import Moment
from sequencer.machine.model import Machine, Subject
from sequencer.wording import listing


def open_ends(moment: Moment, now: datetime | None = None) -> list[str]:
    """A line for each such thing; none where all is in the plan."""
    return [*out_of_reach(moment), *cure_lines(moment, now)]


def out_of_reach(moment: Moment) -> list[str]:
    """Steps that are still open behind what was put back too soon, and targets that can't be reached."""
    lines = []
    if moment.left_out:
        known = moment.operations
        said = listing(sentence(moment.machine, known[op]) for op in moment.left_out)
        lines.append(f"Left out, and still open: {said}. What is in front of it has to come off again")
    if moment.stuck:
        lines.append(f"Can't be reached as things are: {listing(moment.stuck)}")
    return [clean(line) for line in lines]


def stands_open(machine: Machine, path: str) -> str:
    """What stands open to a system that was drained: a joint, or the place of a part that is off."""
    said = path_words(machine, path)
    return said if Subject(path).joint else f"where {said} was"
