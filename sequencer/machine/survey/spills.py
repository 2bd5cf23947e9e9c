"""Fluids, dangers and torques: what is asked only where it matters."""

from __future__ import annotations

import re
from collections.abc import Callable

from sequencer.machine.heard.fluids import amount_in
from sequencer.machine.heard.places import UNDER, meaning, place_meant
from sequencer.machine.survey.joint_line import parse_joints
from sequencer.machine.survey.odd_answers import refuse_no_fluid
from sequencer.machine.survey.question import threaded
from sequencer.machine.survey.said import Said, SaidFluid, SaidPart
from sequencer.machine.survey.short_lines import AnswerError, is_nothing, key_of, label_of, pieces
from sequencer.machine.survey.way import part_named
from sequencer.machine.trade.heads import tool_for
from sequencer.machine.trade.relations import UNDO, barring
from sequencer.machine.trade.tables import table
from sequencer.quantities import QuantityError, find_prevailing, find_torque, parse_kilograms
from sequencer.wording import joined, small

_KILOS = re.compile(r"\b\d+(?:\.\d+)? ?(?:kg|g|lbs?|kilos?)\b", re.IGNORECASE)


def hear_spills(said: Said, part: SaidPart, answer: str) -> str:
    """What spills and what can hurt at a part."""
    fluids: dict[str, None] = {}
    hazards: dict[str, None] = {}
    if not is_nothing(answer):
        for piece in pieces(answer):
            _spill(said, part, piece, fluids, hazards)
    part.spills, part.hazards = list(fluids), list(hazards)
    names = joined(said.fluids[one].label.lower() for one in fluids)
    drained = f"drained first: {names}" if fluids else "nothing spills"
    heavy = f" ({part.weight})" if part.weight else ""
    return drained + (f"; care: {joined(hazards)}{heavy}" if hazards else "")


def _spill(said: Said, part: SaidPart, piece: str, fluids: dict[str, None], hazards: dict[str, None]) -> None:
    data = table("survey")
    weight = _KILOS.search(piece)
    if weight:
        part.weight = _measure(weight[0].replace("kilos", "kg").replace("kilo", "kg"), parse_kilograms)
        piece = piece.replace(weight[0], "").strip() or "heavy"
    litres, piece = amount_in(piece)
    key = key_of(piece)
    hazard = next(
        (name for name, one in data["hazard"].items() if key == name or piece.casefold() in one["words"]),
        None,
    )
    # A word may stand for a fluid and a danger (fuel tank): the fluid is asked for by its own name.
    if key not in data["fluid"] and key not in said.fluids and hazard is not None:
        hazards[hazard] = None
    elif key:
        if key not in data["fluid"] and key not in said.fluids:
            refuse_no_fluid(piece)
        fluid = next(
            (one for one in (*said.fluids, *data["fluid"]) if one == key or key.endswith(f"-{one}")), key
        )
        label = data["fluid"].get(fluid, {}).get("label", label_of(piece))
        known = said.fluids.setdefault(fluid, SaidFluid(fluid, label))
        known.volume = known.volume or (f"{litres:g} L" if litres else None)
        fluids[fluid] = None
    else:
        raise AnswerError(f"`{piece}` was not understood", "write like: coolant, hot; or: nothing")


def _measure(text: str, parse: Callable[[str], object]) -> str:
    try:
        parse(text)
    except QuantityError as why:
        raise AnswerError(why.problem, why.remedy) from why
    return text


def hear_drain(said: Said, fluid: SaidFluid, answer: str, place_named: Callable[[Said, str], str]) -> str:
    """Where a fluid is drained, with what, what is in the way there, and how much it is."""
    drain: dict[str, object] = {}
    in_front: list[object] = []
    listing = False
    for entry in pieces(re.sub(r"(?<=\d),(?=\d)", ".", answer)):
        litres, piece = amount_in(entry)
        fluid.volume = f"{litres:g} L" if litres else fluid.volume
        if not piece or re.fullmatch(r"(?:by )?hand|(?:a |the )?(?:cock|tap)", piece, re.IGNORECASE):
            continue
        word, _, rest = piece.partition(" ")
        if word.casefold() in ("behind", "under") and rest and not _is_place(said, piece):
            listing = True
            in_front.append(part_named(said, rest, why=""))
        elif listing and word.casefold() != "from" and not _tool(piece):
            in_front.append(part_named(said, piece, why=""))
        elif tool := _tool(piece):
            drain["tool"] = tool
        else:
            drain["from"] = place_named(said, piece)
    if in_front:
        drain[barring(UNDO).key] = in_front
    fluid.drain = drain
    notes = [
        _from(said, fluid),
        _with(str(drain["tool"])) if "tool" in drain else "by hand",
    ]
    notes += [f"after {joined(small(said.parts[str(one)].label) for one in in_front)}"] if in_front else []
    return f"{fluid.label} is drained {', '.join(note for note in (*notes, fluid.volume or '') if note)}"


def _is_place(said: Said, piece: str) -> bool:
    """``behind the tray`` is what is in the way, unless somebody works from there."""
    return meaning(piece) == UNDER or place_meant(piece, said.positions) is not None


def hear_drain_place(
    said: Said, fluid: SaidFluid, answer: str, place_named: Callable[[Said, str], str]
) -> str:
    """From where a fluid is drained, where its draining did not tell it."""
    assert fluid.drain is not None
    fluid.drain["from"] = place_named(said, answer)
    return f"{fluid.label} is drained {_from(said, fluid)}"


def _from(said: Said, fluid: SaidFluid) -> str:
    place = said.positions.get(str((fluid.drain or {}).get("from")), "")
    return f"from {small(place)}" if place else ""


def _with(head: str) -> str:
    tool = tool_for(head)
    return f"with a {tool.label if tool else head}"


def _tool(piece: str) -> str | None:
    """The head that a piece like ``plug 13 mm`` tells."""
    try:
        (joint,) = parse_joints(piece)
    except (AnswerError, ValueError):
        return None
    return joint.head if joint.head and tool_for(joint.head) else None


def hear_torques(said: Said, answer: str) -> str:
    """Torques that are known, each with the words of its part or joint."""
    said.torques_asked = True
    if is_nothing(answer):
        return "no torques: the reassembly will ask for the maker's manual"
    echoes = []
    for said_of_one in pieces(re.sub(r"(?<=\d),(?=\d)", ".", answer)):
        drag = find_prevailing(said_of_one)
        piece = said_of_one[: drag[1]] + said_of_one[drag[2] :] if drag else said_of_one
        found = find_torque(piece)
        if found is None:
            raise AnswerError(
                f"there is no torque in `{piece}`", "write like: water pump bolts 9 N.m; or: none"
            )
        quantity, start, end = found
        torque = quantity.text
        words = set(key_of(f"{piece[:start]} {piece[end:]}").split("-")) - {""}
        meant = [(part, joint) for part, joint in threaded(said) if words <= _words(part.label, joint.words)]
        if len(meant) != 1 or not words:
            names = ", ".join(f"{part.label} {joint.words}" for part, joint in meant or threaded(said))
            raise AnswerError(
                f"`{piece}` may mean {'several joints' if meant else 'none of the joints'}",
                f"name one of: {names}",
            )
        meant[0][1].torque = torque
        more = ""
        if drag is not None:
            meant[0][1].prevailing = drag[0].text
            more = f", {drag[0].text} prevailing on top"
        echoes.append(f"{meant[0][0].label}, {meant[0][1].words}: {torque}{more}")
    return "; ".join(echoes)


def _words(*names: str) -> set[str]:
    words = {word for name in names for word in key_of(name).split("-")}
    return words | {word.removesuffix("s") for word in words} | {f"{word}s" for word in words}
