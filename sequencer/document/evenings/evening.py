"""What can be done tonight, in words: where to stop and how sure, what to lay out, what may go wrong."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from sequencer.document.blocks import Block, Fields, Para, Tone
from sequencer.document.evenings.sittings import VERDICTS, VERDICTS_THEN, left_words
from sequencer.document.hours import chance_words, roughly
from sequencer.document.steps.outfit import outfit, to_buy
from sequencer.document.words import duration, laid_out
from sequencer.graph.said import path_words, sentence
from sequencer.job.evenings.evening import Evening, Halt, Risk
from sequencer.job.evenings.opened import Opening
from sequencer.job.work.curing import Ahead, local_time
from sequencer.plan.hazards.stops import Verdict
from sequencer.wording import capital, listing


def evening_document(told: Evening) -> Iterator[Block]:
    """Where to stop, what is beyond, and what the time asks for."""
    machine = told.rest.machine
    halt = told.best
    if halt is None:
        yield Para(f"{_nowhere(told)}{'' if told.next else '; there is none ahead'}.", Tone.STRONG)
        if told.now.stop.loose:
            yield from _state(told, told.now)
    else:
        whole = halt.ahead == len(told.rest.steps)
        step = told.rest.steps[halt.ahead - 1]
        words = "all that is left is done" if whole else f"stop after step {halt.step}"
        yield Para(
            f"{capital(_time(told))}: {words} ({sentence(machine, step.operation)}), "
            f"about {_so_long(halt)}; {chance_words(halt.chance)} you are there in time.",
            Tone.STRONG,
        )
        yield from _state(told, halt)
    if told.next is not None:
        yield Para(_beyond(told, told.next))
    rows = {}
    if told.until.steps:
        steps = told.until
        rows["Lay out"] = listing(laid_out(machine, (op.tool for op in steps.operations))) or "no tools"
        if beside := outfit([steps]):
            rows["Also"] = listing(beside)
        if new := to_buy(steps):
            rows["Have bought"] = new
    if told.risks:
        rows["At risk"] = " ".join(_risk(told, risk) for risk in told.risks)
    if rows:
        yield Fields(tuple(rows.items()), apart=True)


def evening_line(told: Evening, now: datetime) -> str:
    """Where to stop, in a sentence."""
    halt, time = told.best, capital(_time(told))
    if halt is not None:
        words = "all is done" if halt.ahead == len(told.rest.steps) else f"stop after step {halt.step}"
        return (
            f"{time}: {words}, about {roughly(halt.likely)} from here; {chance_words(halt.chance)} in time."
        )
    if told.next is None:
        return f"{_nowhere(told)}; there is none ahead."
    far = f"about {roughly(told.next.likely)} from here"
    if told.wish is not None and not told.wish.floats:
        far = f"{far}, at {local_time(now + timedelta(seconds=told.next.likely))}"
    return f"{_nowhere(told)}; the next place is after step {told.next.step}, {far}."


def opening_words(opening: Opening) -> str:
    """That a step opens what can't be left for so long, said before it."""
    end = f"the end, step {opening.closed}" if opening.last else f"after step {opening.closed}"
    words = f"From here on it can't be left for about {roughly(opening.seconds)}, until {end}"
    if opening.wish is None:
        when = local_time(opening.at)
        return f"{words}: that is {when}, if you go on now. Begin it only with that much time in hand."
    if opening.wish.floats:
        when = f"that is about {roughly(opening.ahead)} of work in all"
        limit = f"you have {duration(max(opening.has, 0))} for it"
    else:
        when, limit = f"that is {local_time(opening.at)}", f"you have until {local_time(opening.wish.until)}"
    words = f"{words}: {when}, and {limit}" + ("" if opening.late else "; it may well take longer")
    where = "where you are" if opening.before is None else f"after step {opening.before}"
    return f"{words}. Stop {where}."


def _time(told: Evening) -> str:
    """``in 90 min``, or ``until 18:30``; after that, that it is past."""
    if told.wish is None or told.wish.floats:
        return f"in {duration(told.seconds)}"
    until = local_time(told.wish.until)
    return f"until {until}" if told.seconds > 0 else f"it is past {until}, and"


def _nowhere(told: Evening) -> str:
    """No place to stop is reached in time: stay where you are, if you may."""
    if told.now.stop.verdict is Verdict.UNSAFE:
        return f"{capital(_time(told))} you reach no place where you could stop"
    return f"{capital(_time(told))} it is best to stop where you are"


def _so_long(halt: Halt) -> str:
    """``25 min of work``; a wait for a sealant is no work."""
    if halt.wait is None:
        return f"{roughly(halt.likely)} of work"
    return f"{roughly(halt.likely)}, the wait for {halt.wait.label} to cure included"


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
        f"about {roughly(halt.likely - here.likely)} {'further' if told.best else 'from here'}; "
        f"{chance_words(halt.chance)} in time."
    )
    if halt.wait is not None and (here.wait is not halt.wait):
        words = f"{words} {_wait_words(told, halt.wait)}"
    if halt.stop.verdict is not Verdict.SAFE:
        words = f"{words} {VERDICTS_THEN[halt.stop.verdict]}."
    if told.opens is None:
        return words
    begun = f"Do not begin step {told.opens} unless you can go on to there: it must not be left in between."
    return f"{words} {begun}"


def _wait_words(told: Evening, wait: Ahead) -> str:
    """Which step waits for a cure, and how long."""
    steps = told.rest.steps
    since = "now" if wait.after is None else f"step {steps[wait.after].number}"
    return (
        f"Step {steps[wait.before].number} waits until {wait.label} has cured: "
        f"{duration(wait.seconds)} from {since}."
    )


def _risk(told: Evening, risk: Risk) -> str:
    words = capital(path_words(told.rest.machine, risk.mishap.joint))
    if risk.halt is None:
        return f"{words} ({risk.step})."
    where = "where you are" if risk.halt.step is None else f"after {risk.halt.step}"
    return f"{words} ({risk.step}): if they fight you, stop {where}."
