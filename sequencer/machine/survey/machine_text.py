"""An ordinary machine file out of what was said, with a comment wherever something is not known yet."""

from __future__ import annotations

from typing import Any

from sequencer.machine.edit.emit import block, comment_lines, plain
from sequencer.machine.survey import practice_questions as practice
from sequencer.machine.survey.practice_questions import RAISE, low_places, tasks
from sequencer.machine.survey.questions import open_questions
from sequencer.machine.survey.said import Said, SaidJoint, SaidPart
from sequencer.machine.survey.short_lines import key_of, label_of
from sequencer.machine.trade.links import FLUIDS, link
from sequencer.machine.trade.relations import PART, relations
from sequencer.machine.trade.tables import table

_HEAD = (
    "Described by looking at the machine and answering questions (`sequencer survey`). It is an ordinary",
    "machine file: correct it and add to it. Times are the usual ones of the trade. Torques, dangers and",
    "procedures are for the maker's manual to say; it wins wherever the two differ.",
)
SEVERAL = 2
"""What is taken where several were said, and not how many."""
_AS_ANSWERED = "as answered"
_GROUND = "Never under anything that only a jack holds: rated stands on firm ground; rock it first."


def machine_text(said: Said) -> str:
    """The file as text."""
    lines = [f"# {line}" for line in _HEAD]
    opened = [one for one in open_questions(said) if one.id != "torques"]
    if opened:
        lines += ["#", "# Not yet known:"]
        lines += [line for one in opened for line in comment_lines(f"  {one.text}", 0)]
    about = "Described by looking at it, to take off: " + ", ".join(
        said.parts[one].label for one in said.targets
    )
    lines += [
        "",
        *block("machine", said.machine or "Machine without a name yet", 0),
        *block("about", about, 0),
    ]
    lines += _section("positions", {key: _position(said, key) for key in said.positions})
    lines += _section("tools", _tools(said))
    lines += _section("fluids", {key: _fluid(said, key) for key in said.fluids})
    lines += _section("tasks", ({"isolate": _ISOLATE} if said.isolate else {}) | tasks(said))
    if said.isolate:
        lines += ["first: [isolate]"]
    lines += ["", "parts:"]
    for part in said.parts.values():
        lines += _part(said, part)
    return "\n".join(lines) + "\n"


_ISOLATE = {
    "label": "Cut off the battery or supply, and see that it stays off",
    "undo": {"label": "Connect the battery or supply again"},
    "caution": "In the order that the maker's manual gives; near airbags, wait first as long as it says.",
}


def _section(name: str, entries: dict[str, Any]) -> list[str]:
    if not entries:
        return []
    lines = ["", f"{name}:"]
    for key, entry in entries.items():
        lines += block(key, plain(entry), 2)
    return lines


def _position(said: Said, key: str) -> dict[str, Any]:
    label = said.positions[key]
    low = {"under", "underneath", "below", "beneath", "creeper", "pit"} & {
        *key.split("-"),
        *label.casefold().split(),
    }
    raised = {"needs": [RAISE], "below": True} if said.raised and key in low_places(said) else {}
    return {"label": label} | raised | ({"caution": _GROUND} if low else {})


def _tools(said: Said) -> dict[str, dict[str, str]]:
    """The tools that were named, by their keys."""
    named = (one.tool for part in said.parts.values() for one in (part.joints or {}).values() if one.tool)
    return {key_of(one): {"label": label_of(one), "drive": "none"} for one in named}


def _fluid(said: Said, key: str) -> dict[str, Any]:
    fluid, known = said.fluids[key], table("survey")["fluid"].get(key, {})
    entry: dict[str, Any] = {"label": fluid.label}
    if fluid.volume:
        entry["volume"] = fluid.volume
    if fluid.drain:
        entry["drain"] = fluid.drain
    caution = known.get(
        "caution", "Catch all of it. What it does to skin and ground is for its maker to say."
    )
    return entry | {"caution": caution}


def _part(said: Said, part: SaidPart) -> list[str]:
    body = _fields(said, part)
    lines = block(part.key, body, 2, spread=True)
    unknown = [
        words
        for words, missing in (
            ("what holds it", part.joints is None),
            ("what is in its way", part.waits is None),
            ("from where it is worked on", part.position is None),
        )
        if missing
    ]
    unknown += [
        f"what kind of fixing `{one.words}` is" for one in (part.joints or {}).values() if not one.kind
    ]
    if part.key in said.targets:
        lines[:0] = ["  # wanted off"]
    if unknown:
        lines += [f"    # not yet known: {', '.join(unknown)}"]
    return lines


def _fields(said: Said, part: SaidPart) -> dict[str, Any]:
    hazards = table("survey")["hazard"]
    fields = {
        "label": part.label,
        "from": part.position if part.position != next(iter(said.positions), None) else None,
        "weight": part.weight,
        **{one.key: (part.waits or {}).get(one.key) for one in relations(PART)},
        link(PART, FLUIDS).key: part.spills,
        **practice.fields(part),
        "joints": {key: _joint(said, part, one) for key, one in (part.joints or {}).items()},
        **{state: {"joints": joints} if joints else {} for state, joints in part.freedoms.items()},
        "caution": [hazards[one]["caution"] for one in part.hazards],
    }
    kept = {
        key: plain(value) for key, value in fields.items() if value or key in part.freedoms or value is False
    }
    if part.joints == {}:
        kept["joints"] = {}  # it lifts off, and the file says so
    if len(part.hazards) == 1:
        kept["caution"] = kept["caution"][0]
    return kept


def _joint(said: Said, part: SaidPart, joint: SaidJoint) -> dict[str, Any]:
    count = SEVERAL if joint.count is None else joint.count
    usual = joint.words in (joint.kind, f"{joint.kind}s", f"{joint.kind}es")
    fields = {
        "kind": joint.kind,
        "label": None if usual else joint.words,
        "head": joint.head or ("hand" if joint.hand and joint.kind != "fit" else None),
        "tool": key_of(joint.tool) if joint.tool else None,
        "count": count if count > 1 else None,
        "from": joint.position,
        "thread": joint.thread,
        "class": joint.property_class,
        "torque": practice.torque_of(said, part, joint),
        "source": _AS_ANSWERED if joint.torque else None,
        **joint.waits,
        "unsure": ["count"] if joint.count is None else None,
    }
    return {key: value for key, value in fields.items() if value is not None}
