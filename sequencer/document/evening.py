"""What can be done tonight, in words: where to stop and how sure, what to lay out, what may go wrong."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.document.blocks import Block, Fields, Para, Tone
from sequencer.document.hours import chance_words, roughly
from sequencer.document.outfit import outfit
from sequencer.document.sittings import VERDICTS, left_words
from sequencer.document.words import capital, duration, joint_words, laid_out, listing, sentence
from sequencer.job.evening import Evening, Halt, Risk
from sequencer.plan.stops import Verdict
from sequencer.plan.supplies import renewals


def evening_document(told: Evening) -> Iterator[Block]:
    """Where to stop, what is beyond, and what the time asks for."""
    machine = told.rest.machine
    halt = told.best
    if halt is None:
        yield Para(f"In {duration(told.seconds)} no place is reached where you could stop: {_sure(told)}.")
        if told.now.stop.loose:
            yield from _state(told, told.now)
    else:
        whole = halt.ahead == len(told.rest.steps)
        step = told.rest.steps[halt.ahead - 1]
        words = "all that is left is done" if whole else f"stop after step {halt.step}"
        yield Para(
            f"In {duration(told.seconds)}: {words} ({sentence(machine, step.operation)}), "
            f"about {roughly(halt.likely)} of work; {chance_words(halt.chance)} you are there in time.",
            Tone.STRONG,
        )
        yield from _state(told, halt)
    if told.next is not None:
        yield Para(_beyond(told, told.next))
    rows = {}
    if halt is not None:
        steps = told.until
        rows["Lay out"] = listing(laid_out(machine, (op.tool for op in steps.operations))) or "no tools"
        if beside := outfit([steps]):
            rows["Also"] = listing(beside)
        if new := listing(
            f"{one.count} × {one.item}" if one.count > 1 else one.item for _, one in renewals(steps)
        ):
            rows["Have bought"] = new
    if told.risks:
        rows["At risk"] = " ".join(_risk(told, risk) for risk in told.risks)
    if rows:
        yield Fields(tuple(rows.items()), apart=True)


def _state(told: Evening, halt: Halt) -> Iterator[Block]:
    yield Para(VERDICTS[halt.stop.verdict])
    for line in left_words(told.rest.machine, halt.stop.loose):
        yield Para(line)


def _beyond(told: Evening, halt: Halt) -> str:
    here = told.best or told.now
    step = told.rest.steps[halt.ahead - 1]
    whole = halt.ahead == len(told.rest.steps)
    what = "All that is left ends with" if whole else "The next place to stop is after"
    words = (
        f"{what} step {halt.step} ({sentence(told.rest.machine, step.operation)}), "
        f"about {roughly(halt.likely - here.likely)} further; {chance_words(halt.chance)} in time."
    )
    if halt.stop.verdict is not Verdict.SAFE:
        words = f"{words} {VERDICTS[halt.stop.verdict].replace('here', 'there').replace('below', 'loose')}"
    if told.opens is None:
        return words
    begun = f"Do not begin step {told.opens} unless you can go on to there: in between it is not to be left."
    return f"{words} {begun}"


def _sure(told: Evening) -> str:
    if told.next is None:
        return "there is none ahead"
    return f"the first is about {roughly(told.next.likely)} from here"


def _risk(told: Evening, risk: Risk) -> str:
    part, _, joint = risk.mishap.joint.partition("/")
    words = capital(joint_words(told.rest.machine, part, joint))
    if risk.halt is None:
        return f"{words} ({risk.step})."
    where = "where you are" if risk.halt.step is None else f"after {risk.halt.step}"
    return f"{words} ({risk.step}): if they fight you, stop {where}."
