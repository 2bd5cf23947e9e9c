"""What is said to somebody at a job: how it begins, what an act came to, and what comes next."""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Iterator, Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sequencer.document.blocks import Block, Item, Items, Para, StationBlock, Tone
from sequencer.document.evenings.evening import evening_line
from sequencer.document.evenings.sittings import in_all_words
from sequencer.document.hours import hours_words, known_words
from sequencer.document.jobs.open_ends import open_ends, out_of_reach
from sequencer.document.jobs.record import reservation_lines
from sequencer.document.jobs.telling import open_question, question_line, read_back
from sequencer.document.plans.plan import aims_of
from sequencer.document.steps.more_hands import hands_words
from sequencer.document.steps.renewing import renew_lines
from sequencer.document.underway.ahead import cards_of
from sequencer.document.words import plural
from sequencer.job.changes.bare import to_tell, without_file
from sequencer.job.evenings.tonight import tonight
from sequencer.job.journal.events import EventKind
from sequencer.job.journal.folder import JobFolder
from sequencer.job.now.moment import Moment
from sequencer.plan.plan import Plan, Refit
from sequencer.wording import capital

if TYPE_CHECKING:
    from sequencer.job.desk import Outcome
    from sequencer.plan.evenings.sittings import Evenings

STUCK = "Nothing is left that can be done as things are."
_LIKE_THIS = 'sequencer did "chain guard off, 3 screws PH2"'


def said_document(words: Iterable[str]) -> Iterator[Block]:
    """What an act came to, each as a sentence."""
    yield from (Para(f"{capital(text)}.") for text in words)


def begun_document(
    made: JobFolder, called: Path, plan: Plan, divided: Evenings[Any] | None = None
) -> Iterator[Block]:
    """What was made, how it is divided into sittings, if it is, and how to go on."""
    yield Para(made.card.title, Tone.STRONG)
    if without_file(made.card):
        yield Para(
            f"Wanted: {aims_of(plan)}. Nothing else is known of the machine yet, and nothing needs to be."
        )
        yield Para("Say what you do, as you do it; on a phone: sequencer bench --lan. For example:")
        yield _commands(f"cd {shlex.quote(str(called))}", _LIKE_THIS)
        return
    steps, stations = plural(len(plan.steps), "step"), plural(len(plan.stations), "station")
    yield Para(f"{capital(hours_words(plan.hours))}; {steps} in {stations}.")
    jobs = [job for name, job in plan.machine.jobs.items() if name in made.card.jobs]
    if also := renew_lines(plan.machine, plan.operations, plan.taken_off, jobs)[1]:
        yield Para(f"By experience also renew: {'; '.join(also)}.")
    if divided is not None and divided.sittings:
        yield from map(Para, in_all_words(divided))
    if plan.machine.learned:
        yield Para(f"{capital(known_words(plan.machine.learned))}.")
    if words := hands_words(plan):
        yield Para(words)
    yield Para(
        f"The job is in {called}: go into that folder. sequencer resume starts the clock and shows the first "
        "station; sequencer done ticks it."
    )


def _commands(*lines: str) -> Items:
    return Items(tuple(map(Item, lines)))


def read_lines(moment: Moment, said: Outcome) -> list[str]:
    """How a told line was read; nothing where the act told none."""
    return read_back(moment, _told(moment, said) or {})


def _told(moment: Moment, said: Outcome) -> Mapping[str, Any] | None:
    """The body of the event that an act of telling wrote; None where it wrote none."""
    known = (one.event for one in moment.state.of(EventKind.DID) if one.event.id in said.events)
    return next((event.body for event in known), None)


def told_document(moment: Moment, said: Outcome, *, person: str = "", asked: bool = False) -> Iterator[Block]:
    """A line said back, what else came of it, and the question that it leaves; ``asked`` line by line."""
    yield from map(Para, read_lines(moment, said))
    yield from said_document(said.words)
    asks = open_question(moment, person)
    if asks is not None and asks.text:
        yield Para(f"? {question_line(asks)}", Tone.STRONG)
        answered = "its number answers it" if asked else "sequencer did --answer 1, or your words"
        yield Items((Item(f"{answered}; or go on without.", tone=Tone.FAINT),))
    if not to_tell(moment):
        yield from next_document(moment, person=person)


def next_document(moment: Moment, ahead: int = 1, person: str = "") -> Iterator[Block]:
    """The station that comes next, and what to lay out for the one after; ``ahead`` stations in full.

    Where to stop this evening is told as ``person`` gets on.
    """
    now = datetime.now(UTC)
    stations = cards_of(moment, person=person, now=now)
    if (evening := tonight(moment, person, now)) is not None:
        yield Para(evening_line(evening, now), Tone.STRONG)
    yield from (Para(f"{line}.", Tone.ALERT) for line in open_ends(moment))
    if to_tell(moment):
        yield from _to_tell(moment, person)
        return
    if not stations:
        yield from _at_the_end(moment)
        return
    yield from map(StationBlock, stations[:ahead])
    after = stations[ahead : ahead + 1]
    for station in after:
        yield Para(f"After that: {station.where} · {station.tool}", Tone.FAINT, apart=True)
    if moment.state.running is None:
        verb = "go on" if moment.state.started else "start the clock"
        yield Para(f"Clock stopped. To {verb}: sequencer resume", Tone.FAINT, apart=not after)


def _to_tell(moment: Moment, person: str) -> Iterator[Block]:
    """What comes next where no file says it: whatever the person does."""
    yield Para(f"Wanted: {aims_of(moment.plan)}.", Tone.STRONG)
    yield Para("No machine file says what comes next. Do what is in the way, and say it:")
    yield _commands(_LIKE_THIS)
    asks = open_question(moment, person)
    if asks is not None:
        yield Para(f"? {question_line(asks)}")


def _at_the_end(moment: Moment) -> Iterator[Block]:
    """Nothing is left: the way in leads to the way back, and that to the end."""
    if out_of_reach(moment):
        yield Para(STUCK, Tone.STRONG)
        to = "take apart again: sequencer turn --apart" if moment.state.turned else "put back: sequencer turn"
        yield Para(f"To {to}", Tone.FAINT)
        return
    if isinstance(moment.plan, Refit):
        lines = reservation_lines(moment)
        but = ", except what stands here" if lines else ""
        yield Para(f"All is back together{but}: {moment.card.title}.", Tone.STRONG)
        yield Items(tuple(Item(line, "!", Tone.ALERT) for line in lines), marks=1)
        return
    yield Para(f"Done: {aims_of(moment.plan)}.", Tone.STRONG)
    yield Para("When it goes back together: sequencer turn", Tone.FAINT)
