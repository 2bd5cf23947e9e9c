"""What a person can get wrong in what a file says of its type, and what its entries come to."""

from __future__ import annotations

from sequencer.machine.facts.of_type import NO_TYPE, NO_WORD, FromType, Varies
from sequencer.machine.faults import quote
from sequencer.machine.model import Subject
from sequencer.machine.reader.items import texts_in
from sequencer.machine.reader.scope import Scope
from sequencer.machine.reader.yaml_tree import Path
from sequencer.machine.schema.entries import MachineEntry, PartEntry
from sequencer.machine.schema.fields import MOST_COUNT
from sequencer.machine.schema.joint_entry import JointEntry
from sequencer.machine.trade.heads import no_tool, tool_for


def check_type(scope: Scope) -> None:
    """Note what is said of the type in vain."""
    for name, part in scope.entry.parts.items():
        _check_part(scope, part, ("parts", name, "varies"))
        for joint_name, joint in (part.joints or {}).items():
            _check_joint(scope, joint, ("parts", name, "joints", joint_name, "varies"))
    source = scope.entry.from_type
    for where, text in scope.texts(source.unsure if source else None, ("from_type", "unsure")):
        name = Subject(text)
        known = name.joint in scope.joints(name.part) if name.of_joint else name in scope.names("parts")
        if not known:
            problem = f"`{quote(name)}` is not there, so nothing of it is from the type"
            scope.warning(where, problem, "take it out of this list")


def _check_part(scope: Scope, part: PartEntry, path: Path) -> None:
    varies = part.varies
    if varies is None:
        return
    for where, name in scope.texts(varies.from_, (*path, "from")):
        if scope.knows("positions", name, where) and name == part.from_:
            _the_same(scope, where, name)
    for _ in scope.texts(varies.also, (*path, "also")):
        pass
    _check_chance(scope, varies.chance is not None, bool(varies.from_ or varies.also), path)


def _check_joint(scope: Scope, joint: JointEntry, path: Path) -> None:
    varies = joint.varies
    if varies is None:
        return
    for where, head in scope.texts(varies.head, (*path, "head")):
        if tool_for(head) is None:
            scope.error(where, *no_tool(head))
        elif head == joint.head:
            _the_same(scope, where, head)
    for where, text in scope.texts(varies.count, (*path, "count")):
        if not text.isdecimal() or not 1 <= int(text) <= MOST_COUNT:
            scope.error(where, f"'{quote(text)}' is not a count", "write a whole number: 4")
        elif int(text) == (joint.count or 1):
            _the_same(scope, where, text)
    _check_chance(scope, varies.chance is not None, bool(varies.head or varies.count), path)


def _the_same(scope: Scope, where: Path, value: str) -> None:
    scope.warning(
        where, f"`{quote(value)}` is what the file has already", "write what others have, or take it out"
    )


def _check_chance(scope: Scope, is_said: bool, has_others: bool, path: Path) -> None:
    if is_said and not has_others:
        problem = "there is a chance here, and nothing that it is the chance of"
        scope.warning((*path, "chance"), problem, "write what others have, or missing: 1 in 4", key=True)


def varies_of(entry: PartEntry | JointEntry) -> Varies:
    """What varies of a part or joint. The file has been checked."""
    varies = entry.varies
    if varies is None:
        return NO_WORD
    if isinstance(entry, PartEntry):
        assert entry.varies is not None
        return Varies(
            entry.varies.missing,
            entry.varies.chance,
            places=tuple(texts_in(entry.varies.from_)),
            also=tuple(texts_in(entry.varies.also)),
        )
    assert entry.varies is not None
    counts = tuple(int(one) for one in texts_in(entry.varies.count))
    return Varies(entry.varies.missing, entry.varies.chance, tuple(texts_in(entry.varies.head)), counts)


def from_type(entry: MachineEntry) -> FromType:
    """The type that a file was made from, and what of it nobody confirmed."""
    source = entry.from_type
    if source is None:
        return NO_TYPE
    return FromType(source.machine, source.version or "", frozenset(texts_in(source.unsure)))
