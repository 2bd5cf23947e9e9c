"""Questions about a kept order in words, and what an answer to one means."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sequencer.document.blocks import Block, Para, Tone
from sequencer.document.words import duration
from sequencer.graph.said import joint_words
from sequencer.machine.called import thing_label
from sequencer.machine.facts.taken import Told
from sequencer.machine.model import Machine
from sequencer.plan.asking import ELSEWHERE, About, OrderQuestion
from sequencer.wording import listing, small

NONE = "No question is worth a minute: what is only kept of the order costs next to nothing."
HOW = (
    "Answer with the question's number: sequencer ask 1 no. Or yes, don't know; or the names of those that "
    'were in the way: sequencer ask 1 "oil cooler, shroud".'
)
HOW_ONE = "Answer no, yes, don't know, or with the names of what was in the way."


def questions_document(machine: Machine, questions: Sequence[OrderQuestion]) -> Iterator[Block]:
    """The questions with their numbers, what each is worth, and how they are answered."""
    if not questions:
        yield Para(NONE)
        return
    for number, question in enumerate(questions, start=1):
        yield Para(f"{number}  {question_words(machine, question)}", Tone.STRONG, apart=number > 1)
        yield Para(f"   {worth_words(question)}")
        if question.about in (About.PLACES, About.ALIKE):
            yield Para(f"   {things_words(machine, question)}", Tone.FAINT)
    yield Para(HOW, Tone.FAINT, apart=True)


def question_words(machine: Machine, question: OrderQuestion) -> str:
    """The question itself."""
    first = f"the {small(thing_words(machine, question.first[0]))}"
    if question.about is About.PAIR:
        later = f"the {small(thing_words(machine, question.then[0]))}"
        how = "come off, and go on again," if question.then[0].section == "parts" else "be drained"
        return f"Could {later} {how} with {first} in place?"
    if question.about is About.REASON:
        return f"Was {first} in the way of anything that was done after it?"
    if question.about is About.ALIKE:
        return f"Did the order of these {len(question.first)} matter?"
    one, other = (*question.places, *question.places)[:2]
    here = machine.positions[one].label
    if one == other:
        return f"Was anything that you did from {here!r} in the way of anything else there?"
    there = (
        "anything elsewhere" if other == ELSEWHERE else f"anything from {machine.positions[other].label!r}"
    )
    return f"Was anything that you did from {here!r} in the way of {there}, or the other way round?"


def named_words(question: OrderQuestion) -> str:
    """What it means to name things in place of a plain answer."""
    if question.about is About.REASON:
        return "It was in the way of these only"
    return "Only these were in the way"


def worth_words(question: OrderQuestion) -> str:
    """What is saved at the most."""
    return f"an answer may save {duration(question.saving)}, on the way back and the next time"


def things_words(machine: Machine, question: OrderQuestion) -> str:
    """The things that it is about, all of them: an answer frees each."""
    first = listing(thing_words(machine, told) for told in question.first)
    if question.then == question.first or (*question.places[1:], "") == (ELSEWHERE, ""):
        return first
    return f"{first}; {listing(thing_words(machine, told) for told in question.then)}"


def thing_words(machine: Machine, told: Told) -> str:
    """A thing of the order as a person says it."""
    if told.atom.joint is None:
        return thing_label(machine, told)
    return joint_words(machine, told.atom.part, told.atom.joint)
