"""What a told line came to, said back: how it was read, the bag, what nobody said, and the one question."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from sequencer.document.clean import clean
from sequencer.graph.said import part_words
from sequencer.job.now.moment import Moment
from sequencer.job.told.last import last_told, told_by
from sequencer.machine.called import name_of
from sequencer.machine.model import Joint
from sequencer.spoken.values import ToldQuestion
from sequencer.wording import capital, listing, small

_UNSAID = {"kind": "what kind of fastener", "head": "which head", "tool": "which tool"}


def last_said(moment: Moment, person: str) -> Mapping[str, Any] | None:
    """The body of the last line that a person told and that stands; None where none was."""
    events = told_by(moment, person)
    return events[-1].event.body if events else None


def read_back(moment: Moment, body: Mapping[str, Any]) -> list[str]:
    """A told line said back: how it was read with the bags, then what was not said.

    Args:
        moment: The job after it.
        body: Of the event that tells it.
    """
    read = clean(str(body.get("back", "")))
    joints = [str(path) for path in body.get("joints", ())]
    numbers = sorted({moment.bags[path].number for path in joints if path in moment.bags})
    bags = f"{'Bag' if len(numbers) == 1 else 'Bags'} {listing(map(str, numbers))}." if numbers else ""
    first = " ".join(piece for piece in (read, bags) if piece)
    unsaid = list(dict.fromkeys(_unsaid(moment, body)))
    return [*([first] if first else []), *([f"Not said: {'; '.join(unsaid)}."] if unsaid else [])]


def remarks(body: Mapping[str, Any]) -> list[str]:
    """What else came of a told line: what can't be yet, what is a note only, where to look."""
    return [f"{capital(text)}." for text in map(clean, body.get("remarks", ()))]


def _unsaid(moment: Moment, body: Mapping[str, Any]) -> Iterator[str]:
    """What the usual was taken for, of the parts and joints that a line told of."""
    machine = moment.machine
    for name in body.get("parts", ()):
        part = machine.parts.get(str(name))
        if part is not None and "joints" in part.unsure:
            yield f"what held the {clean(small(part_words(machine, part.name)))}"
    for path in body.get("joints", ()):
        if (joint := machine.own_joint(str(path))) is not None:
            yield from _unsaid_of(joint)


def _unsaid_of(joint: Joint) -> Iterator[str]:
    what = clean(name_of(joint.name, joint.label))
    for key in joint.unsure:
        if key == "count":
            yield f"how many {what}, {joint.count} taken"
        else:
            yield f"{_UNSAID.get(key, key)} ({what})"


def open_question(moment: Moment, person: str) -> ToldQuestion | None:
    """The question that a person's last line left, as long as they told nothing else since."""
    last = last_told(moment, person)
    return last.question if last is not None else None


def question_line(question: ToldQuestion) -> str:
    """The question with its likely answers, numbered."""
    choices = " · ".join(f"{number} {clean(one)}" for number, one in enumerate(question.choices, start=1))
    return f"{clean(question.text)}{f' {choices}' if choices else ''}"
