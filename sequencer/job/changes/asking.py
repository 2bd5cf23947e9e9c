"""Answers to questions about an order that is only kept: into this job's machine file, and into the plan."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Any

from sequencer.job.changes.finds import put_into
from sequencer.job.changes.replanning import add_new_plan
from sequencer.job.journal.edits import EDITS, Edit, MachineFile, owner_path
from sequencer.job.journal.events import EventKind
from sequencer.job.now.acts import Act, By, Draft, RefusedError
from sequencer.job.now.moment import Moment
from sequencer.machine.called import meant_parts, thing_label, words_of
from sequencer.machine.facts.taken import Told
from sequencer.machine.model import Machine
from sequencer.machine.trade.relations import UNDO, barring
from sequencer.plan.asking import WORTH, About, OrderQuestion, free_of, questions

ANSWERED = "answered"
"""The key of an event's body that holds the keys of the questions which it answers."""

_NO = frozenset(("no", "n", "nothing", "none", "nope"))
_YES = frozenset(("yes", "y", "yep", "sure"))
_UNKNOWN = frozenset(("don't know", "dont know", "do not know", "unknown", "not sure", "no idea", "?", "dk"))

Answers = Sequence[tuple[int | str, str]]
"""The numbers or keys of questions, and what is answered to each."""


MOST = 5
"""Questions that are asked at once."""


def open_questions(moment: Moment) -> list[OrderQuestion]:
    """The questions that are worth asking now, best first."""
    return list(_asked(_At(moment)))


class _At:
    """A moment of a job with one machine file; what is worth asking then is worked out once."""

    def __init__(self, moment: Moment) -> None:
        self.moment = moment
        self.key = (moment.card.id, moment.sight.digest, moment.state.seq)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _At) and self.key == other.key

    def __hash__(self) -> int:
        return hash(self.key)


@lru_cache(maxsize=4)
def _asked(at: _At) -> tuple[OrderQuestion, ...]:
    moment = at.moment
    corrected = moment.state.of(EventKind.CORRECTED)
    asked = {key for one in corrected for key in one.event.body.get(ANSWERED, ())}
    return tuple(questions(moment.machine, moment.targets, asked, MOST))


def reply(answers: Answers, file: MachineFile, on: date) -> Act:
    """Answer questions by their numbers or keys: no, yes, don't know, or the names of what was in the way."""

    def act(moment: Moment, _by: By) -> Draft:
        asked = open_questions(moment)
        read = [_read(moment.machine, _meant(asked, which), text) for which, text in answers]
        edits = [edit for one in read for edit in _edits(moment.machine, one, on)]
        draft = Draft()
        body: dict[str, Any] = {"what": "; ".join(one.words for one in read)}
        body[ANSWERED] = [one.question.key for one in read]
        draft.words += [one.words for one in read]
        if not edits:
            draft.add(EventKind.CORRECTED, body)
            return draft
        sight, text = put_into(draft, file, edits)
        draft.add(EventKind.CORRECTED, {**body, EDITS: [list(edit) for edit in edits], "text": text})
        before = draft.words[:]
        change = add_new_plan(
            draft, moment, "answers about the order", sight=sight, reshuffle=WORTH, anew=True
        )
        if draft.words == before and change.saving:
            draft.words.append("what is left comes in another order now")
        return draft

    return act


@dataclass(frozen=True)
class _Answer:
    """A question with its answer: whether something is free, and what alone was in the way."""

    question: OrderQuestion
    free: bool
    but: tuple[Told, ...]
    words: str


def _meant(asked: Sequence[OrderQuestion], which: int | str) -> OrderQuestion:
    """The question of a number, or of a key that a page was shown."""
    if isinstance(which, str):
        found = next((one for one in asked if one.key == which), None)
        if found is None:
            problem = "that is no longer asked: it was answered, or the order has changed"
            raise RefusedError(problem, "see what is asked now", code="asked-since")
        return found
    if not 1 <= which <= len(asked):
        known = f"they are 1 to {len(asked)}: see ask" if asked else "nothing is worth asking now"
        raise RefusedError(f"there is no question {which}", known)
    return asked[which - 1]


def _read(machine: Machine, question: OrderQuestion, text: str) -> _Answer:
    said = " ".join(text.casefold().replace("\u2019", "'").split()).strip(" .!")
    name = _about(machine, question)
    if said in _UNKNOWN:
        return _Answer(question, free=False, but=(), words=f"{name}: not known, the order stays as it was")
    freeing, binding = (_YES, _NO) if question.about is About.PAIR else (_NO, _YES)
    if said in freeing:
        return _Answer(question, free=True, but=(), words=f"{name}: the order does not matter")
    if said in binding:
        return _Answer(question, free=False, but=(), words=f"{name}: the order stays as it was")
    if question.about is About.PAIR:
        raise RefusedError(f"{text!r} is no answer", "answer yes, no, or don't know", code="no-answer")
    but = _named(machine, may_bind(question), said.removeprefix("yes").removeprefix("only").strip(" ,:"))
    return _Answer(question, free=True, but=but, words=f"{name}: nothing but {_listed(machine, but)}")


def may_bind(question: OrderQuestion) -> tuple[Told, ...]:
    """The things of a question that may have been in the way, or waited for it, alone; none of a pair."""
    if question.about is About.PAIR:
        return ()
    return tuple(
        dict.fromkeys(question.then if question.about is About.REASON else (*question.first, *question.then))
    )


def _about(machine: Machine, question: OrderQuestion) -> str:
    """What a question was about, in a few words."""
    first, then = question.first, question.then
    if question.places:
        labels = [machine.positions[one].label for one in question.places if one]
        return f"what was done from {' and '.join(labels)}" + (
            "" if all(question.places) else " and elsewhere"
        )
    if question.about is About.PAIR:
        return f"{_listed(machine, then)} with {_listed(machine, first)} in place"
    return _listed(machine, first)


def _listed(machine: Machine, things: Iterable[Told]) -> str:
    return ", ".join(thing_label(machine, told) for told in things)


def _named(machine: Machine, things: Iterable[Told], text: str) -> tuple[Told, ...]:
    """The things that somebody names, of those that the question is about."""
    labels = {told: thing_label(machine, told).casefold() for told in things}
    known = {told: words_of(f"{told.atom} {label}") for told, label in labels.items()}
    found: list[Told] = []
    for piece in re.split(r",|;|\band\b", text):
        name, words = piece.strip(), words_of(piece)
        if not name:
            continue
        own = [t for t, label in labels.items() if name in (str(t.atom), label)]
        own = own or [
            t for t in known if t.section == "parts" and meant_parts(machine, name) == (t.atom.part,)
        ]
        meant = own or [told for told, said in known.items() if words <= said]
        if len(meant) != 1 and not own:
            names = ", ".join(thing_label(machine, told) for told in meant or known)
            what = "more than one thing" if meant else "nothing"
            raise RefusedError(
                f"{name!r} is {what} that this question is about",
                f"name it like one of these: {names}; or answer yes, no, or don't know",
                code="no-answer",
            )
        found += meant
    return tuple(dict.fromkeys(found))


# ---- Into the file ----


def _edits(machine: Machine, answer: _Answer, on: date) -> list[Edit]:
    """What an answer comes to in the file, with its source."""
    if not answer.free:
        return []
    question, source = answer.question, f"answered on this job, {on.isoformat()}"
    edits: list[Edit] = []
    if question.about is About.REASON:
        (first,) = question.first
        edits += [_relation(first, later, source) for later in answer.but]
    for group, then in free_of(machine.taken_apart, question, answer.but):
        entry: dict[str, Any] = {"first": [told.written for told in group]}
        if then is not None:
            entry["then"] = [told.written for told in then]
        edits.append(["entry", ["taken_apart", "free"], {**entry, "source": source}, None])
    return edits


def _relation(first: Told, later: Told, comment: str) -> Edit:
    """The later of two things waits for the earlier, a part, by a relation of the file."""
    path: list[str] = owner_path(str(later.atom) if later.atom.joint else later.atom.part)
    if later.section == "fluids":
        path = ["fluids", later.atom.part, "drain"]
    return ["entry", [*path, barring(UNDO).key], first.written, comment]
