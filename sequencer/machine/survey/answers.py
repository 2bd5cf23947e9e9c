"""Taking an answer: what it means for what is known of the machine, and how it was understood."""

from __future__ import annotations

import re
from collections.abc import Callable

from sequencer.machine.heard.joint import answered_count, plural
from sequencer.machine.heard.places import UNDER, meaning, place_meant
from sequencer.machine.survey.joint_line import parse_joints, shown
from sequencer.machine.survey.odd_answers import refuse_no_place, refuse_no_tool
from sequencer.machine.survey.other_side import same_as, take_held, take_way
from sequencer.machine.survey.practice_questions import hear_first, hear_practice
from sequencer.machine.survey.question import PARTS, QuestionId
from sequencer.machine.survey.said import Said, SaidFluid, SaidJoint, SaidPart
from sequencer.machine.survey.short_lines import (
    AnswerError,
    bare,
    is_later,
    is_nothing,
    key_of,
    known,
    label_of,
    pieces,
    unused,
)
from sequencer.machine.survey.spills import hear_drain, hear_drain_place, hear_spills, hear_torques
from sequencer.machine.survey.way import hear_way, part_named
from sequencer.machine.trade.kinds import kind_of_joint
from sequencer.machine.trade.tables import table
from sequencer.wording import joined, small

_SEATED = re.compile(
    r"\b(?:lifts? (?:off|out|away)|just sits|sits in place|falls? (?:off|out)|pulls? off)\b", re.IGNORECASE
)


def hear(said: Said, question: str, text: str) -> str:
    """Put an answer into what was said, and return how it was understood.

    Raises:
        AnswerError: It was not understood, or contradicts what was said before.
    """
    answer = " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
    if not answer:
        raise AnswerError("there is no answer on this line", "type one, or: don't know yet")
    if len(answer) > 500:
        raise AnswerError("this is too long for one answer", "make it shorter")
    if is_later(answer):
        said.later.pop(question, None)
        said.later[question] = None
        return "left open for later"
    if (
        answer.replace(",", "").replace(" ", "").isdecimal()
        and not is_nothing(answer)
        and _wants_words(question)
    ):
        raise AnswerError(
            f"`{answer}` alone says too little", "write a word with it; or choose what is offered"
        )
    echo = _handler(question)(said, QuestionId(question).steps, answer)
    said.later.pop(question, None)
    return echo


def _wants_words(question: str) -> bool:
    """A number is no answer to it. A machine may be called by one, and a size is one."""
    return QuestionId(question).steps[-1] not in ("machine", "head", "count")


def _handler(question: str) -> Callable[[Said, tuple[str, ...], str], str]:
    steps = QuestionId(question).steps
    if steps[0] == PARTS:
        return _OF_A_PART[steps[-1]]
    return _OF_THE_MACHINE[steps[0]]


def _machine(said: Said, steps: tuple[str, ...], answer: str) -> str:
    del steps
    said.machine = answer
    return f"the machine is called {answer}"


def _off(said: Said, steps: tuple[str, ...], answer: str) -> str:
    del steps
    for piece in pieces(answer):
        said.targets.append(part_named(said, piece, why=""))
    said.targets = list(dict.fromkeys(said.targets))
    if not said.targets:
        raise AnswerError("no part was named", "write like: water pump")
    return f"wanted off: {joined(said.parts[one].label for one in said.targets)}"


def _held(said: Said, steps: tuple[str, ...], answer: str) -> str:
    part = said.parts[steps[1]]
    if is_nothing(answer) or _SEATED.search(answer):
        part.joints = {}
        return "nothing holds it: it lifts off by hand"
    if other := same_as(said, part, answer, "joints"):
        take_held(part, other)
        held = joined(shown(one) for one in (part.joints or {}).values())
        return f"as {small(other.label)}, held by {held or 'nothing'}"
    joints = parse_joints(answer)
    for joint in joints:
        joint.position = place_named(said, joint.position) if joint.position else None
    if joints[0].position and all(joint.position == joints[0].position for joint in joints):
        part.position = joints[0].position
        for joint in joints:
            joint.position = None
    part.joints = {joint.key: joint for joint in joints}
    where = f"; worked on from: {small(said.positions[part.position])}" if part.position else ""
    return f"held by {joined(shown(one, said.positions.get(one.position or '')) for one in joints)}{where}"


def place_named(said: Said, name: str) -> str:
    """The key of a position, which is new if no known one is meant."""
    found = place_meant(name, said.positions)
    if found is not None:
        return found
    refuse_no_place(name)
    name = "under" if meaning(name) == UNDER else re.sub(r"^from\s+", "", name, flags=re.IGNORECASE)
    key = key_of(re.sub(r"^(?:at|on|in)\s+", "", name, flags=re.IGNORECASE))
    if not key:
        raise AnswerError("no place was named", "write like: at the front, under it")
    key = unused(key, said.positions)
    said.positions[key] = label_of(name)
    return key


def _from(said: Said, steps: tuple[str, ...], answer: str) -> str:
    part = said.parts[steps[1]]
    part.position = place_named(said, answer)
    return f"worked on from: {small(said.positions[part.position])}"


def _kind(said: Said, steps: tuple[str, ...], answer: str) -> str:
    joint = _joint(said, steps)
    understood, *more = parse_joints(answer)
    if more:
        raise AnswerError(
            f"that is several fixings, and this asks about one: `{joint.words}`",
            "say what that one is; to answer again what holds it: change",
        )
    if understood.kind is None:
        raise AnswerError(
            f"`{answer}` is not a kind of fixing that is known here",
            f"use one of: {', '.join(table('kinds'))}",
        )
    if joint.words == f"{joint.family} {_fixing(joint)}".strip():
        joint.words = understood.words if joint.count == 1 else plural(understood.words)
    joint.kind, joint.head = understood.kind, joint.head or understood.head
    joint.hand, joint.tool = joint.hand or understood.hand, joint.tool or understood.tool
    joint.thread, joint.torque = joint.thread or understood.thread, joint.torque or understood.torque
    joint.family = joint.family or understood.family
    if joint.count == 1 and understood.count and understood.count > 1:
        joint.count = understood.count
    return f"{joint.words}: {joint.kind}"


def _fixing(joint: SaidJoint) -> str:
    return "fixing" if joint.count == 1 else "fixings"


def _count(said: Said, steps: tuple[str, ...], answer: str) -> str:
    joint, number = _joint(said, steps), answered_count(answer)
    if number is None:
        raise AnswerError(f"`{answer}` is not a number", "write how many there are, like: 4")
    if number[0] == "head":
        (sized,) = parse_joints(f"bolt {number[1]}")
        joint.head, joint.counting = sized.head, None
    else:
        joint.count = number[1]
    return shown(joint)


def _head(said: Said, steps: tuple[str, ...], answer: str) -> str:
    joint = _joint(said, steps)
    if answer.casefold() in ("by hand", "hand", "no tool"):
        joint.hand = True
        return f"{joint.words}: by hand"
    kind = kind_of_joint(joint.kind)
    if kind is not None and not kind.headed:
        refuse_no_tool(answer)
        joint.tool = bare(answer)
        return shown(joint)
    family = joint.family if re.fullmatch(r"\d+(?:\.\d+)?(?: ?mm)?", answer) else ""
    understood, *more = parse_joints(f"bolt {family} {answer}")
    if more or (
        understood.head is None and understood.tool is None and understood.family in ("", joint.family)
    ):
        raise AnswerError(
            f"`{answer}` is not a size or a head", "write like: 10 mm, T25, allen 6, E10, 1/2 in; or: by hand"
        )
    joint.head, joint.tool, joint.family = understood.head, understood.tool, understood.family
    joint.torque, joint.thread = understood.torque or joint.torque, understood.thread or joint.thread
    return shown(joint)


def _freedom(said: Said, steps: tuple[str, ...], answer: str) -> str:
    part, state = said.parts[steps[1]], steps[-1]
    joints = part.joints or {}
    if answer.casefold() in ("all of them", "all", "both"):
        chosen = list(joints)
    elif is_nothing(answer):
        chosen = []
    else:
        words = {key: joint.words for key, joint in joints.items()}
        found = [known(piece, words) for piece in pieces(answer)]
        if None in found:
            raise AnswerError(
                "that is none of its joints", f"choose among: {', '.join(words.values())}; or: all of them"
            )
        chosen = [one for one in found if one is not None]
    part.freedoms[state] = chosen
    verb = "slackened" if state == "loose" else "undone"
    return f"{verb} for that: {joined(joints[one].words for one in chosen) or 'nothing'}"


def _isolate(said: Said, steps: tuple[str, ...], answer: str) -> str:
    del steps
    word = answer.casefold().split()[0].strip(",.")
    if word not in ("yes", "y", "no", "n"):
        raise AnswerError(f"`{answer}` is neither yes nor no", "write yes or no")
    said.isolate = word in ("yes", "y")
    return "it is cut off before everything else" if said.isolate else "nothing to cut off"


def _spills(said: Said, steps: tuple[str, ...], answer: str) -> str:
    return hear_spills(said, said.parts[steps[1]], answer)


def _way(said: Said, steps: tuple[str, ...], answer: str) -> str:
    part = said.parts[steps[1]]
    if other := same_as(said, part, answer, "waits"):
        take_way(said, part, other)
        return f"in its way: the same as at {small(other.label)}, on its own side"
    return hear_way(said, part, answer)


def _drain(said: Said, steps: tuple[str, ...], answer: str) -> str:
    fluid: SaidFluid = said.fluids[steps[1]]
    hear_it = hear_drain_place if steps[-1] == "from" else hear_drain
    return hear_it(said, fluid, answer, place_named)


def _torques(said: Said, steps: tuple[str, ...], answer: str) -> str:
    del steps
    return hear_torques(said, answer)


def _joint(said: Said, steps: tuple[str, ...]) -> SaidJoint:
    part: SaidPart = said.parts[steps[1]]
    return (part.joints or {})[steps[3]]


def _practice(said: Said, steps: tuple[str, ...], answer: str) -> str:
    return hear_practice(said.parts[steps[1]], steps[-1], answer)


def _first(said: Said, steps: tuple[str, ...], answer: str) -> str:
    del steps
    return hear_first(said, answer)


_OF_THE_MACHINE = {
    "machine": _machine,
    "off": _off,
    "fluids": _drain,
    "isolate": _isolate,
    "first": _first,
    "torques": _torques,
}
_OF_A_PART = {
    "held": _held,
    "from": _from,
    "way": _way,
    "kind": _kind,
    "count": _count,
    "head": _head,
    "loose": _freedom,
    "aside": _freedom,
    "spills": _spills,
    **dict.fromkeys(("holds", "carries", "new", "torqued"), _practice),
}
