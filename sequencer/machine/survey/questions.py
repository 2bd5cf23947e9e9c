"""What is still to be asked: a question for all that was named and not told of, in a sensible order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from sequencer.machine.heard.joint import OpenPoint
from sequencer.machine.survey.other_side import SAME, other_side
from sequencer.machine.survey.practice_questions import practice_questions
from sequencer.machine.survey.question import SurveyQuestion, threaded
from sequencer.machine.survey.said import Said, SaidFluid, SaidJoint, SaidPart
from sequencer.machine.survey.short_lines import DONT_KNOW
from sequencer.machine.survey.way import in_the_way
from sequencer.machine.trade.heads import family_sizes
from sequencer.machine.trade.kinds import kind_of_joint
from sequencer.machine.trade.relations import PART, relations
from sequencer.machine.trade.tables import table
from sequencer.wording import joined, small

_HELD = "one line for all of it, like: 5 bolts 10 mm, connector, hose clamp from under, 3 x T25 screws"
_WAY = (
    "parts, like: belt, hose aside. `bolts: bracket` where only those bolts are behind it; {also}"
    "`left or right` where either will do"
)
_LIKELY_HEADS = ("10", "13", "8", "T25", "PH2")
_LIKELY_KINDS = ("bolt", "nut", "screw", "clip", "clamp", "connector", "hose", "pin", "seal", "press fit")


def open_questions(said: Said) -> list[SurveyQuestion]:
    """Every question that has no answer, those that were put off last."""
    asked = [
        replace(one, later=one.id in said.later, choices=tuple(dict.fromkeys((*one.choices, DONT_KNOW))))
        for one in _all(said)
    ]
    return sorted(asked, key=lambda one: list(said.later).index(one.id) + 1 if one.later else 0)


def _all(said: Said) -> Iterator[SurveyQuestion]:
    if said.machine is None:
        yield SurveyQuestion(
            "machine", "What machine is it?", hint="a name for the file: Delivery van, two-litre petrol"
        )
    if not said.targets:
        hint = "the part, or several: water pump, thermostat"
        yield SurveyQuestion("off", "What do you want off?", hint=hint, kind="list")
        return
    for part in said.parts.values():
        yield from _of_part(said, part)
    for fluid in said.fluids.values():
        yield from _of_fluid(said, fluid)
    if said.isolate is None and _electrical(said):
        text = "Is there a battery or a supply to cut off before everything else?"
        yield SurveyQuestion("isolate", text, ("yes", "no"), "", "choice")
    yield from _of_torques(said)
    yield from practice_questions(said)


def _of_fluid(said: Said, fluid: SaidFluid) -> Iterator[SurveyQuestion]:
    name, places = f"the {fluid.label.lower()}", [small(label) for label in said.positions.values()]
    if fluid.drain is None:
        hint = "like: from under, plug 13 mm, behind under-tray, 7.5 L"
        choices = tuple(f"from {one}" for one in places)
        yield SurveyQuestion(f"fluids/{fluid.key}", f"How is {name} drained?", choices, hint, "choice")
    elif "from" not in fluid.drain:
        hint = "where you stand, kneel or lie: at the front, under it, left side"
        text = f"From where is {name} drained?"
        yield SurveyQuestion(f"fluids/{fluid.key}/from", text, tuple(places), hint, "choice")


def _of_part(said: Said, part: SaidPart) -> Iterator[SurveyQuestion]:
    name, base = _the(part.label), f"parts/{part.key}"
    other = other_side(said, part)
    if part.joints is None:
        choices = (*_same(other is not None and other.joints), "nothing, it lifts off")
        yield SurveyQuestion(f"{base}/held", f"What holds {name}?", choices, _HELD, "list", part.label)
    for joint in (part.joints or {}).values():
        yield from _of_joint(said, part, joint)
    if part.position is None:
        where = tuple(_places(said, part))
        hint = "where you stand, kneel or lie: at the front, under it, left side"
        yield SurveyQuestion(
            f"{base}/from", f"From where do you work at {name}?", where, hint, "choice", part.label
        )
    if part.waits is None:
        waiting = _waiting_for(said, part)
        near = tuple(other.label for other in said.parts.values() if other.key not in waiting)
        text = f"What is in the way of reaching {name}?"
        hint = _WAY.format(also="".join(f"{one.survey.hint}; " for one in relations(PART) if one.survey))
        same = _same(part.joints is not None and other is not None and other.waits is not None)
        choices = (*same, "nothing", *near)
        yield SurveyQuestion(f"{base}/way", text, choices, hint, "list", part.label, by_number="some")
    for state, joints in part.freedoms.items():
        if joints is None and part.joints:
            verb = "slackened to loosen" if state == "loose" else "undone to move aside"
            choices = ("all of them", "none of them", *(joint.words for joint in part.joints.values()))
            text = f"Which joints are {verb} {name}?"
            yield SurveyQuestion(f"{base}/{state}", text, choices, "", "choice", part.label, by_number="some")
    if part.spills is None and part.joints is not None:
        yield from _of_spills(said, part)


def _of_spills(said: Said, part: SaidPart) -> Iterator[SurveyQuestion]:
    """What spills or hurts there, the likely answers first; nothing where nothing is likely."""
    fluids, hazards = expected(part)
    fluids = fluids or (list(said.fluids) if _opens(part) else [])
    if fluids or hazards or _opens(part):
        likely = [one for one in (", ".join((*fluids, *hazards)), *fluids, *hazards) if one]
        others = (*said.fluids, "coolant", "oil", "fuel", "spring", "pressure", "hot", "heavy")
        choices = tuple(dict.fromkeys((*likely, "nothing", *others)))
        hint = "fluids and dangers, like: coolant, hot; or heavy 14 kg"
        text = f"Does anything spill, or can anything hurt, at {_the(part.label)}?"
        name = f"parts/{part.key}/spills"
        yield SurveyQuestion(name, text, choices, hint, "choice", part.label, by_number="some")


def _same(told: object) -> tuple[str, ...]:
    """The choice of what was told of the other side, where it was."""
    return (SAME,) if told else ()


def _of_joint(said: Said, part: SaidPart, joint: SaidJoint) -> Iterator[SurveyQuestion]:
    base, name = f"parts/{part.key}/joints/{joint.key}", _the(part.label)
    if joint.kind is None:
        with_tool = f", undone with {joint.tool}," if joint.tool else ""
        text = f"`{joint.words}` at {name}{with_tool}: what kind of fixing is that?"
        yield SurveyQuestion(f"{base}/kind", text, _LIKELY_KINDS, "", "choice", part.label)
        return
    if joint.count is None:
        doubt = joint.counting or OpenPoint(
            "count", f"How many {joint.words} are there?", ("2", "3", "4", "6")
        )
        text = f"At {name}: {small(doubt.text)}"
        yield SurveyQuestion(f"{base}/count", text, doubt.choices, "", "choice", part.label, by_number="no")
    kind = kind_of_joint(joint.kind)
    if kind is not None and joint.head is None and not (joint.hand or joint.tool):
        if joint.family:
            text = f"Which size of {joint.family} {_have(joint)} the {joint.words} of {name}?"
        elif not kind.headed:
            need = "does" if joint.count == 1 else "do"
            text = f"What tool {need} the {joint.words} of {name} need?"
            tools = ("circlip pliers", "pliers", "screwdriver", "drill", "by hand")
            yield SurveyQuestion(f"{base}/head", text, tools, "the name of a tool", "choice", part.label)
            return
        elif not kind.by_hand:
            text = f"What size or head {_have(joint)} the {joint.words} of {name}?"
        else:
            return
        hint = "like: 10 mm, T25, allen 6, E10, 1/2 in"
        choices = (*_heads(said, joint), "by hand")
        yield SurveyQuestion(f"{base}/head", text, choices, hint, "choice", part.label, by_number="no")


def _have(joint: SaidJoint) -> str:
    return "has" if joint.count == 1 else "have"


def _heads(said: Said, joint: SaidJoint) -> Sequence[str]:
    """Likely heads: those of the sort that was said, or those used so far and the usual ones."""
    if joint.family:
        return family_sizes(joint.family)
    used = (one.head for part in said.parts.values() for one in (part.joints or {}).values() if one.head)
    return list(dict.fromkeys((*used, *_LIKELY_HEADS)))[:8]


def _of_torques(said: Said) -> Iterator[SurveyQuestion]:
    open_ones = [f"{part.label}: {joint.words}" for part, joint in threaded(said) if joint.torque is None]
    finished = all(part.joints is not None and part.waits is not None for part in said.parts.values())
    if open_ones and finished and not said.torques_asked:
        shown = joined(open_ones[:12]) + (" …" if len(open_ones) > 12 else "")
        text = "Which tightening torques do you know from the maker's manual?"
        yield SurveyQuestion(
            "torques", text, ("none",), f"like: water pump bolts 9 N.m. Not known: {shown}", "list"
        )


def expected(part: SaidPart) -> tuple[list[str], list[str]]:
    """The fluids and the hazards that the words of a part let one expect."""
    words = " ".join(
        (part.label, *(f"{one.words} {one.kind}" for one in (part.joints or {}).values()))
    ).casefold()
    data = table("survey")
    found: dict[str, list[str]] = {
        section: [name for name, entry in data[section].items() if _mentions(words, entry)]
        for section in ("fluid", "hazard")
    }
    return found["fluid"], found["hazard"]


def _mentions(words: str, entry: dict[str, Any]) -> bool:
    padded = f" {words.replace('-', ' ')} "
    return any(f" {word} " in padded or f" {word}s " in padded for word in entry["words"])


def _opens(part: SaidPart) -> bool:
    return any(joint.kind in table("survey")["opens"] for joint in (part.joints or {}).values())


def _electrical(said: Said) -> bool:
    kinds = {joint.kind for part in said.parts.values() for joint in (part.joints or {}).values()}
    hazards = {one for part in said.parts.values() for one in part.hazards}
    return bool(kinds & {"connector", "terminal"} or hazards & {"battery", "airbag"} or "fuel" in said.fluids)


def _places(said: Said, part: SaidPart) -> list[str]:
    """Positions named so far, that of the part for which this one has to go first."""
    owner = said.parts.get(part.why)
    first = said.positions.get(owner.position or "") if owner else None
    return [*([first] if first else []), *(one for one in said.positions.values() if one != first)]


def _waiting_for(said: Said, part: SaidPart) -> set[str]:
    """The part, and the parts for which it has to be off first, directly or not."""
    found = {part.key}
    while True:
        more = {
            one.key
            for one in said.parts.values()
            if one.key not in found and any(isinstance(n, str) and n in found for n in in_the_way(one))
        }
        if not more:
            return found
        found |= more


def _the(label: str) -> str:
    return f"the {small(label)}"
