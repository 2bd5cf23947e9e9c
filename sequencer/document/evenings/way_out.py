"""The quickest way to leave a machine safe, in words: what to put back, or how far to go on."""

from __future__ import annotations

from sequencer.document.evenings.sittings import VERDICTS_THEN
from sequencer.document.hours import roughly
from sequencer.document.words import fastening, plural
from sequencer.graph.operations import Kind, Operation
from sequencer.graph.said import part_words, sentence
from sequencer.job.evenings.way_out import WayOut
from sequencer.machine.model import Machine
from sequencer.plan.hazards.stops import Verdict
from sequencer.wording import capital

BY_STEPS = "Some of these steps ask for a reading or a list: tick them one by one"
"""Of a way that can't be said at one go."""


def way_title(machine: Machine, way: WayOut, number: int | None) -> str:
    """``about 4 min: put this back``, or on to the step of that number."""
    then = "" if way.verdict is Verdict.SAFE else f". {VERDICTS_THEN[way.verdict]}"
    time = f"about {roughly(way.likely)}"
    if not way.onward:
        return f"{time}: put back what makes it unsafe, {plural(len(way.acts), 'act')}{then}"
    return f"{time}: on to step {number} ({sentence(machine, way.acts[-1])}){then}"


def way_lines(machine: Machine, way: WayOut) -> list[str]:
    """What there is to do, in its order; nothing where it is the next steps of the plan."""
    return [] if way.onward else [act_words(machine, act) for act in way.acts]


def act_words(machine: Machine, act: Operation) -> str:
    """``Fasten Belt guard: screws (6 × head T25)``."""
    if act.kind is Kind.SEAL and act.part:
        return f"Wipe the sealant off {part_words(machine, act.part)}"
    words = capital(sentence(machine, act))
    if act.kind in (Kind.FASTEN, Kind.TIGHTEN) and act.part and act.joint:
        details = fastening(machine.joint(act.part, act.joint))
        return f"{words} ({details})" if details else words
    return words
