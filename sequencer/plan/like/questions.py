"""What is asked of a machine that is like a type, the most telling question first."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from sequencer.machine.called import part_label
from sequencer.machine.model import Joint, Subject
from sequencer.machine.survey import DONT_KNOW, SurveyQuestion
from sequencer.machine.survey.question import QuestionId
from sequencer.plan.like.known import ASKED, JOIN, Alike
from sequencer.plan.like.worth_asking import like_table
from sequencer.wording import capital, joined, small

AS_TYPE = "as in the type"
"""The answer that nothing is otherwise; Enter alone gives it."""

NOT_THERE = "not there"
_SHOWN = 3
"""So many things are named in a question about a few; of more it says where they are."""

_HELD = "like: 2 bolts 10 mm, clip; nothing"


def open_questions(known: Alike) -> list[SurveyQuestion]:
    """What may be asked now: what an answer brought up, what is worth it by its worth, what was put off."""
    if not known.off:
        return [_off(known)]
    follows = [one for name in known.follows if (one := asked(known, name)) is not None]
    found = [(worth, one) for worth, one in _by_worth(known) if worth >= known.worth.least]
    if known.answers + len(follows) >= like_table()["ask"]["answers"]:
        found = []
    put_off = [replace(one, later=True) for name in known.later if (one := asked(known, name)) is not None]
    return [*follows, *(one for _, one in found), *put_off]


def _by_worth(known: Alike) -> list[tuple[Fraction, SurveyQuestion]]:
    """Questions about several things with what they are worth, the best first; ties as in the file."""
    found = []
    for kind, things in (*known.split, *_groups(known)):
        put_off = {one for one in things if _name(kind, [one]) in known.later}
        left = [
            one
            for one in things
            if known.there(one) and one not in known.settled[kind] and one not in put_off
        ]
        question = asked(known, _name(kind, left)) if left else None
        if question is not None:
            found.append((sum((worth_of(known, kind, one) for one in left), Fraction(0)), question))
    return _first_whether(sorted(found, key=lambda one: -one[0]))


def _first_whether(found: list[tuple[Fraction, SurveyQuestion]]) -> list[tuple[Fraction, SurveyQuestion]]:
    """Whether parts are there is asked before anything else of them."""
    order: list[tuple[Fraction, SurveyQuestion]] = []
    for one in found:
        things = _parts_asked(one[1])
        whether = (
            other
            for other in found
            if QuestionId(other[1].id).first == "there" and not things.isdisjoint(_parts_asked(other[1]))
        )
        order += [other for other in (*whether, one) if other not in order]
    return order


def _parts_asked(question: SurveyQuestion) -> set[str]:
    return {Subject(one).part for one in QuestionId(question.id).rest.split(JOIN)}


def worth_of(known: Alike, kind: str, thing: str) -> Fraction:
    """What asking one thing is worth, in seconds."""
    ways: dict[str, Callable[[str], Fraction]] = {
        "there": known.worth.there,
        "way": known.worth.way,
        "fasteners": known.worth.fasteners,
        "elsewhere": known.worth.elsewhere,
    }
    return ways[kind](thing)


def _groups(known: Alike) -> Iterator[tuple[str, tuple[str, ...]]]:
    """What the job touches and nobody was asked of, by what is asked and where, the most telling first."""
    apart = {(kind, one) for kind, things in known.split for one in things}
    most = like_table()["ask"]["most"]
    for kind in ASKED:
        places: dict[str, list[str]] = {}
        for name in known.worth.parts:
            if name in known.own:
                continue
            part = known.machine.parts[name]
            joints = [one.path for one in part.joints.values() if one.head] if kind == "fasteners" else [name]
            for one in joints:
                is_open = (
                    one not in known.settled[kind]
                    and (kind, one) not in apart
                    and _name(kind, [one]) not in known.later
                )
                if is_open and worth_of(known, kind, one):
                    places.setdefault(part.position, []).append(one)
        for things in places.values():
            best = sorted(things, key=lambda one: -worth_of(known, kind, one))
            for start in range(0, len(best), most):
                chosen = set(best[start : start + most])
                yield kind, tuple(one for one in things if one in chosen)


def _name(kind: str, things: Sequence[str]) -> str:
    return QuestionId.of(kind, JOIN.join(things))


def things_of(known: Alike, name: str) -> list[str]:
    """The things that a question asks of, those that are there."""
    return [one for one in QuestionId(name).rest.split(JOIN) if known.there(one)]


def asked(known: Alike, name: str) -> SurveyQuestion | None:
    """The question of that name; None where it makes no sense now."""
    kind, rest = QuestionId(name).first, QuestionId(name).rest
    if name == "off":
        return None if known.off else _off(known)
    if not known.off:
        return None
    if kind in ASKED:
        left = [one for one in things_of(known, name) if one not in known.settled[kind]]
        return _with_ways_out(_QUESTIONS[kind](known, name, left)) if left else None
    if name not in known.follows or not known.there(rest):
        return None
    return _with_ways_out(_FOLLOWS[kind](known, name, rest))


def _with_ways_out(question: SurveyQuestion) -> SurveyQuestion:
    return replace(question, choices=tuple(dict.fromkeys((*question.choices, DONT_KNOW))))


def _off(known: Alike) -> SurveyQuestion:
    jobs = tuple(job.label for job in known.machine.jobs.values())
    text = f"What do you want off? The type is: {known.type.machine.name}."
    return SurveyQuestion("off", text, jobs, "a job of the type, or parts: water pump, thermostat", "list")


def _where(known: Alike, things: Sequence[str]) -> str:
    places = dict.fromkeys(known.machine.parts[Subject(one).part].position for one in things)
    return joined(small(known.machine.positions[one].label) for one in places)


def _several(known: Alike, name: str, things: Sequence[str], text: str, hint: str) -> SurveyQuestion:
    labels = (known.label(one) for one in things)
    heading = known.label(things[0]) if len(things) == 1 else f"{_where(known, things)}"
    return SurveyQuestion(
        name,
        text,
        (AS_TYPE, *labels),
        hint,
        "list",
        capital(heading),
        skip=AS_TYPE,
        by_number="some",
    )


def _names(known: Alike, things: Sequence[str]) -> str:
    return joined((f"the {small(known.label(one))}" for one in things), "or")


def _of_them(known: Alike, things: Sequence[str]) -> str:
    """Where they are, or their names where they are few."""
    few = len(things) <= _SHOWN and not any("," in known.label(one) for one in things)
    return _names(known, things) if few or len(things) == 1 else f"any of these ({_where(known, things)})"


def _there(known: Alike, name: str, things: Sequence[str]) -> SurveyQuestion:
    if len(things) == 1:
        text = f"Has yours got the {small(known.label(things[0]))}?"
        question = _several(known, name, things, text, "")
        return replace(question, choices=(AS_TYPE, "no"))
    text = f"Is all of this there on yours ({_where(known, things)})?"
    return _several(known, name, things, text, "what yours has not got: belt guard, loom clip")


def _way(known: Alike, name: str, things: Sequence[str]) -> SurveyQuestion:
    text = f"Is anything else in the way of {_of_them(known, things)}?"
    hint = "what is, and of what: heat shield over water pump"
    maybe = [
        f"{also} over {small(part_label(part))}"
        for one in things
        if (part := known.machine.parts[one]).varies.also
        for also in part.varies.also
    ]
    question = _several(known, name, things, text, hint)
    return replace(question, choices=(*question.choices, *maybe))


def _fasteners(known: Alike, name: str, things: Sequence[str]) -> SurveyQuestion:
    text = f"Has any of these another number or another head on yours ({_where(known, things)})?"
    if len(things) == 1:
        there = _fixed(known.machine.joint_at(things[0]))
        text = f"{known.label(things[0])}: {there} in the type. What has yours?"
        question = _several(known, name, things, text, "like: 4; T30; 4 x 10 mm")
        return replace(question, choices=(AS_TYPE, NOT_THERE), by_number="no")
    hint = "those that have; or at once: cover screws 4 x T30"
    question = _several(known, name, things, text, hint)
    labels = (f"{known.label(one)} ({_fixed(known.machine.joint_at(one))})" for one in things)
    return replace(question, choices=(AS_TYPE, *labels))


def _elsewhere(known: Alike, name: str, things: Sequence[str]) -> SurveyQuestion:
    if len(things) == 1:
        return _place(known, name, things[0])
    text = f"Is any of these worked on from elsewhere than {_where(known, things)}?"
    hint = "those that are; or at once: pump from under"
    return _several(known, name, things, text, hint)


def _place(known: Alike, name: str, thing: str) -> SurveyQuestion:
    own = known.machine.parts[thing].position
    likely = dict.fromkeys((*known.machine.parts[thing].varies.places, *known.machine.positions))
    places = (small(known.machine.positions[one].label) for one in likely if one != own)
    here = small(known.machine.positions[own].label)
    text = f"From where is the {small(known.label(thing))} worked on, if not {here}?"
    return SurveyQuestion(
        name, text, (AS_TYPE, *places), "where you stand or lie: under it, left side", "choice",
        known.label(thing), skip=AS_TYPE,
    )  # fmt: skip


def _over(known: Alike, name: str, thing: str) -> SurveyQuestion:
    of = known.follows[name]
    text = f"What is the {small(known.label(thing))} in the way of?"
    return SurveyQuestion(
        name, text, tuple(known.label(one) for one in of if known.there(one)), "", "list",
        known.label(thing), by_number="some",
    )  # fmt: skip


def _what(known: Alike, name: str, thing: str) -> SurveyQuestion:
    text = f"What else is in the way of the {small(known.label(thing))}?"
    also = known.machine.parts[thing].varies.also
    others = (known.label(one) for one in known.worth.parts if one != thing)
    hint = "what you call it, or a part that there is: heat shield"
    return SurveyQuestion(name, text, (*also, *others), hint, "list", known.label(thing), by_number="some")


def _held(known: Alike, name: str, thing: str) -> SurveyQuestion:
    text = f"What holds the {small(known.label(thing))}?"
    return SurveyQuestion(
        name,
        text,
        ("1 bolt 10 mm", "2 bolts 10 mm", "clip"),
        _HELD,
        "list",
        known.label(thing),
        by_number="one",
    )


def _number(known: Alike, name: str, thing: str) -> SurveyQuestion:
    return _fasteners(known, name, (thing,))


def _fixed(joint: Joint) -> str:
    """``6 × T25``."""
    return f"{joint.count} × {joint.head or joint.kind}" if joint.count > 1 else joint.head or joint.kind


_QUESTIONS: dict[str, Callable[[Alike, str, Sequence[str]], SurveyQuestion]] = {
    "there": _there,
    "way": _way,
    "fasteners": _fasteners,
    "elsewhere": _elsewhere,
}
_FOLLOWS: dict[str, Callable[[Alike, str, str], SurveyQuestion]] = {
    "over": _over,
    "what": _what,
    "held": _held,
    "number": _number,
    "place": _place,
}
