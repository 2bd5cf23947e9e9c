"""What good practice goes by: what holds or carries, what comes first, what is new; asked where likely."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sequencer.machine.survey.odd_answers import refuse_no_helper
from sequencer.machine.survey.question import SurveyQuestion, threaded
from sequencer.machine.survey.said import Said, SaidJoint, SaidPart
from sequencer.machine.survey.short_lines import AnswerError, is_nothing, key_of, label_of
from sequencer.machine.trade.tables import table
from sequencer.quantities import parse_kilograms
from sequencer.wording import small

HEAVY_KG = 20
"""From this weight up plans ask for a second person or a hoist."""

NOTHING = "nothing"
_ITS_GASKET = "its gasket"
HANDS, ITSELF = "my hands", "it stays by itself"
RAISED = "it stands on stands"
ON_THE_GROUND, AT_ONCE = "on the ground", "at once"

RAISE = "raise"
_RAISE = {
    "label": "Jack it up and set it on stands",
    "undo": {"label": "Lower it to the ground"},
    "caution": "Chock it first. A jack lifts and does not hold: rated stands on firm ground.",
}


def practice_questions(said: Said) -> Iterator[SurveyQuestion]:
    """At most one of a kind for each part; Enter skips each."""
    for part in said.parts.values():
        name, base = f"the {small(part.label)}", f"parts/{part.key}"
        turned = _bolted(said, part)
        if "holds" not in part.practice and turned and _mentions(part, "turns"):
            text = f"What holds {name} while its bolts are turned?"
            yield _asked(f"{base}/holds", text, (NOTHING, "a holding bar"), part)
        if "carries" not in part.practice and turned and _kilos(part) >= HEAVY_KG:
            text = f"What carries {name} when its bolts are out?"
            yield _asked(f"{base}/carries", text, (HANDS, "a jack", "a hoist", ITSELF), part)
        if "new" not in part.practice and part.joints is not None and _mentions(part, "renewed"):
            text, gasket = f"What is new afterwards at {name}?", (_ITS_GASKET,) if turned else ()
            yield _asked(f"{base}/new", text, (NOTHING, f"{name} itself", *gasket), part)
        torqued = any(joint.torque for joint in (part.joints or {}).values())
        if "torqued" not in part.practice and said.raised and torqued and _mentions(part, "on_the_ground"):
            text = f"When do the bolts of {name} get their torque?"
            yield _asked(f"{base}/torqued", text, (ON_THE_GROUND, AT_ONCE), part)
    known = all(part.joints is not None and part.waits is not None for part in said.parts.values())
    if said.raised is None and known and low_places(said) and _beside(said):
        text = "What comes first, before anybody lies under it?"
        yield SurveyQuestion("first", text, (NOTHING, RAISED), f"Enter: {NOTHING}", "choice", skip=NOTHING)


def _asked(name: str, text: str, choices: tuple[str, ...], part: SaidPart) -> SurveyQuestion:
    return SurveyQuestion(name, text, choices, f"Enter: {choices[0]}", "choice", part.label, skip=choices[0])


def low_places(said: Said) -> list[str]:
    """The positions below the machine."""
    low = {"under", "underneath", "below", "beneath", "creeper"}
    return [key for key, label in said.positions.items() if low & {*key.split("-"), *small(label).split()}]


def _beside(said: Said) -> str | None:
    """A place that is not below, to raise the machine from."""
    low = low_places(said)
    return next((key for key in said.positions if key not in low), None)


def hear_practice(part: SaidPart, kind: str, answer: str) -> str:
    """Put an answer about a part into what was said of it."""
    part.practice[kind] = answer
    nothing = is_nothing(answer) or answer.casefold() in (HANDS, AT_ONCE)
    if kind == "new":
        return "nothing is renewed" if nothing else f"renewed: {_renewed(part)}"
    if kind == "torqued":
        if not nothing and answer.casefold() != ON_THE_GROUND:
            del part.practice[kind]
            raise AnswerError(f"`{answer}` is not understood here", f"write {ON_THE_GROUND}, or {AT_ONCE}")
        return "torqued at once" if nothing else "only snug until it is on the ground again"
    if nothing or answer.casefold() == ITSELF:
        return "nothing is set up for it"
    refuse_no_helper(answer)
    return f"set up and taken away again: {_helper(answer)}"


def hear_first(said: Said, answer: str) -> str:
    """Whether the machine is raised before anybody is under it."""
    if not is_nothing(answer) and answer.casefold() != RAISED:
        raise AnswerError(f"`{answer}` is not understood here", f"write {RAISED}, or {NOTHING}")
    said.raised = not is_nothing(answer)
    return "it is raised before anybody is under it" if said.raised else "nothing comes first"


def tasks(said: Said) -> dict[str, dict[str, Any]]:
    """The tasks that the answers come to."""
    found = {RAISE: _RAISE | {"from": _beside(said)}} if said.raised else {}
    for part in said.parts.values():
        where = {"from": part.position} if part.position else {}
        if _helps(part, "holds"):
            serves = [f"{part.key}/{joint}" for joint in _bolted(said, part)]
            found[f"hold-{part.key}"] = _set_up(part, "holds", where) | {"serves": serves}
        if _helps(part, "carries"):
            found[f"carry-{part.key}"] = _set_up(part, "carries", where) | {"carries": [part.key]}
    return found


def _set_up(part: SaidPart, kind: str, where: dict[str, str]) -> dict[str, Any]:
    helper = _helper(part.practice[kind])
    at = f"for the {small(part.label)}"
    return {"label": f"{helper} {at}"} | where | {"undo": {"label": f"{helper} {at} away"}}


def _helps(part: SaidPart, kind: str) -> bool:
    said = part.practice.get(kind, NOTHING).casefold()
    return not is_nothing(said) and said not in (HANDS, ITSELF)


def fields(part: SaidPart) -> dict[str, Any]:
    """The keys that the answers add to a part."""
    stays = part.practice.get("carries", "").casefold() == ITSELF
    new = not is_nothing(part.practice.get("new", NOTHING))
    return {"hold": False if stays else None, "renew": [_renewed(part)] if new else None}


def torque_of(said: Said, part: SaidPart, joint: SaidJoint) -> str | dict[str, Any] | None:
    """A torque as the file has it: with what its nuts drag, and what must be back before it."""
    if joint.torque is None:
        return None
    more: dict[str, Any] = {"prevailing": joint.prevailing} if joint.prevailing else {}
    if said.raised and part.practice.get("torqued", "").casefold() == ON_THE_GROUND:
        more |= {"when": [RAISE], "from": _beside(said)}
    return {"value": joint.torque, **more} if more else joint.torque


def _renewed(part: SaidPart) -> str:
    said = part.practice["new"]
    if said.casefold().endswith(" itself"):
        return part.label
    return f"{part.label}: gasket" if said.casefold() == _ITS_GASKET else label_of(said)


def _helper(answer: str) -> str:
    return label_of(answer.removeprefix("a ").removeprefix("an "))


def _bolted(said: Said, part: SaidPart) -> list[str]:
    return [joint.key for owner, joint in threaded(said) if owner is part and joint.kind in ("bolt", "nut")]


def _mentions(part: SaidPart, which: str) -> bool:
    """Whether it is called so; a belt guard is no belt."""
    words = f" {key_of(part.label).replace('-', ' ')}"
    return any(words.endswith((f" {word}", f" {word}s")) for word in table("survey")[which])


def _kilos(part: SaidPart) -> float:
    return float(parse_kilograms(part.weight)) if part.weight else 0.0
