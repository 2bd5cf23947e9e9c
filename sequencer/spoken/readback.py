"""A reading said back in plain English, so that a wrong one is seen at once."""

from __future__ import annotations

from sequencer.machine.heard.joint import JointSaid
from sequencer.machine.model import HAND
from sequencer.machine.trade.heads import tool_for
from sequencer.quantities import Stage, TorqueQuantity
from sequencer.spoken.values import Act, Care, Change, Correction, Did, Line, Said, Same, Spill, ToldReason
from sequencer.wording import capital, joined, small

_DONE = {
    Act.OFF: "off",
    Act.ASIDE: "moved aside",
    Act.LOOSE: "loosened",
    Act.UNPLUGGED: "unplugged",
    Act.UNDONE: "undone",
    Act.DRAINED: "drained",
    Act.BACK: "back on",
    Act.TORQUE: "torque",
    Act.LEFT_OVER: "left over",
}


def said_back(line: Line) -> str:
    """The line as it was understood, in one short text; ``Note: …`` for what was kept as text."""
    notes = [f"Note: {one}." for one in line.notes]
    return " ".join([*(said_back_one(one) for one in line.said), *notes]) or "Nothing said."


def said_back_one(one: Said) -> str:
    """One act, in one sentence or two."""
    if isinstance(one, Correction):
        return _correction(one)
    if isinstance(one, Same):
        return _same(one)
    return _did(one)


def _did(did: Did) -> str:
    if did.act.value is Act.TASK:
        return f"Task: {did.text}."
    if did.act.value is Act.LEFT_OVER:
        return f"Left over: {joined([joint_back(one) for one in did.joints])}."
    head = _head(did)
    held = joined([f"{'then ' if one.after else ''}{joint_back(one)}" for one in did.joints])
    figure = (
        f" {' + '.join(map(_stage, did.figure.stages))}" if did.figure and did.act.value is Act.TORQUE else ""
    )
    source = f", {did.figure.source}" if did.figure and did.figure.source else ""
    first = (
        f"{head}{figure}{source}"
        + (f": {held}" if held else "")
        + (f", from {did.position.value}" if did.position else "")
    )
    return " ".join(f"{one}." for one in (first, *_more(did)) if one)


def _stage(stage: Stage) -> str:
    return stage.shown_in() if isinstance(stage, TorqueQuantity) else stage.text


def _head(did: Did) -> str:
    """The part and what was done to it; that it came off is marked where nobody said so."""
    act = did.act.value
    name = capital(did.part.label) if did.part else "Part not named"
    if act is Act.TORQUE and did.part is None:
        return "Torque"
    if act is Act.NOTE:
        return name if did.part else ""
    if did.act.said or act is not Act.OFF:
        return f"{name} {_DONE[act]}"
    return f"{name} (taken as off)"


def _more(did: Did) -> list[str]:
    """The sentences behind the act."""
    ways = [
        "just for room" if one is ToldReason.ROOM else f"in the way of the {small(one.label)}"
        for one in did.way_of
        if one is ToldReason.ROOM or not isinstance(one, ToldReason)
    ]
    told = {Care.MARK: "Mark", Care.TIE: "Tie", Care.BAG: "Bag", Care.RENEW: "Renew", Care.NOTE: "Note"}
    before = ""
    if did.before is not None:
        before = f"Done before the {small(did.before.part.label)}" if did.before.part else "Done before that"
    return [
        f"It was {joined(ways)}" if ways else "",
        *(_spill(one) for one in did.spills),
        f"With the {did.tool.value}" if did.tool else "",
        f"{did.weight_kg.value:g} kg" if did.weight_kg else "",
        *(f"{told[one.care]}: {one.text}" for one in did.remarks),
        before,
    ]


def _spill(one: Spill) -> str:
    return (
        f"{capital(one.fluid.label)}: {one.amount}" if one.amount else f"{capital(one.fluid.label)} came out"
    )


def joint_back(joint: JointSaid) -> str:
    """A joint as it was understood: ``3 screws (PH2 screwdriver)``; ``? bolts`` of an unknown count."""
    count = "?" if joint.count is None else str(joint.count)
    tool = joint.tool_words
    if joint.head is not None and tool is None:
        tool = (
            "by hand"
            if joint.head == HAND
            else (found.label if (found := tool_for(joint.head)) else joint.head)
        )
    facts = [
        tool or (f"{joint.family}, size not said" if joint.family else ""),
        (joint.thread or "") + (f"×{joint.length_mm}" if joint.length_mm and joint.thread else ""),
        f"{joint.length_mm} mm long" if joint.length_mm and not joint.thread else "",
        joint.property_class or "",
        joint.torque.shown_in() if joint.torque else "",
    ]
    said = ", ".join(one for one in facts if one)
    return f"{count} {joint.words}" + (f" ({said})" if said else "")


def _same(one: Same) -> str:
    what = f"{capital(one.part.label)}: the same" if one.part else "The same again"
    like = f" as the {small(one.like.label)}" if one.like else ""
    side = (
        f" on the {one.side} side"
        if one.side in ("other", "left", "right", "far", "near", "opposite", "driver", "passenger")
        else (f", {one.side}" if one.side else "")
    )
    return f"{what}{like}{side}."


def _correction(one: Correction) -> str:
    if not one.changes:
        return f"Correction not understood: {one.words}."
    return f"Corrected: {joined([_change(change) for change in one.changes])}."


def _change(change: Change) -> str:
    value = _DONE.get(change.value, change.value.value) if isinstance(change.value, Act) else change.value
    return f"{change.what} {value}"
