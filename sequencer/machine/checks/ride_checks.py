"""What a person can get wrong about a part that goes off together with another."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sequencer.machine.faults import quote
from sequencer.machine.model import Atom, State, Subject
from sequencer.machine.reader.items import read_item
from sequencer.machine.reader.scope import Scope
from sequencer.machine.reader.yaml_tree import Path
from sequencer.machine.schema.entries import PartEntry
from sequencer.machine.trade.relations import JOINT, PART, Relation, listed


def check_ride(scope: Scope, name: str, part: PartEntry) -> None:
    """Note what keeps a part from going off with the one that it is said to ride on."""
    if part.rides is None:
        return
    path: Path = ("parts", name, "rides")
    stays = [
        Subject(joint).within(name)
        for where, joint in scope.texts(part.rides.with_, (*path, "with"))
        if scope.knows_joint(name, Subject(joint).within(name), where)
    ]
    if not part.rides.with_:
        scope.error(
            (*path, "with"),
            "no joint holds it to what it rides on",
            "name those that stay fastened: with: [nuts]",
        )
    on = part.rides.on
    if not scope.knows("parts", on, (*path, "on")):
        return
    if name in _carriers(scope, name):
        scope.error((*path, "on"), f"`{quote(name)}` rides on itself", "name the part that carries it")
    for what, relation, raw in _in_front(scope, name, stays):
        if _all_ask_for(raw, {on}):
            problem = (
                f"{what} is {relation.phrase} `{quote(on)}`, so that `{quote(name)}` can't go off with it"
            )
            scope.error((*path, "on"), problem, "take one of the two out")
    carrier = scope.entry.parts.get(on)
    for relation, raw in listed(carrier, PART):
        if _all_ask_for(raw, {name}):
            problem = f"`{quote(on)}` is {relation.phrase} `{quote(name)}`, which can't go off with it then"
            scope.error((*path, "on"), problem, "take one of the two out")


def _carriers(scope: Scope, name: str) -> list[str]:
    """What the part rides on, and that in turn; it ends where it comes round."""
    found: list[str] = []
    part = scope.entry.parts.get(name)
    while part is not None and part.rides is not None and part.rides.on not in found:
        found.append(part.rides.on)
        part = scope.entry.parts.get(part.rides.on)
    return found


def _in_front(scope: Scope, name: str, stays: list[str]) -> Iterator[tuple[str, Relation, list[Any] | None]]:
    """What the part and those of its joints that are undone for the ride say of what is in front."""
    part = scope.entry.parts[name]
    yield from ((f"`{quote(name)}`", one, raw) for one, raw in listed(part, PART) if one.reaches)
    for joint_name, joint in (part.joints or {}).items():
        if joint_name not in stays:
            label = f"`{quote(name)}/{quote(joint_name)}`"
            yield from ((label, one, raw) for one, raw in listed(joint, JOINT))


def _all_ask_for(raw: list[Any] | None, parts: set[str]) -> bool:
    """Whether one entry can be met by nothing but one of the parts off."""
    wanted = {Atom(part, State.OFF) for part in parts}
    items = [read_item(one, ()) for one in raw or []]
    return any(item.atoms and {spotted.atom for spotted in item.atoms} <= wanted for item in items)
