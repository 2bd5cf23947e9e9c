"""What building a machine of a file takes everywhere: its names resolved, its tools collected."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import replace
from fractions import Fraction
from typing import Any

from sequencer.machine.facts.frame import Box
from sequencer.machine.model import (
    HAND,
    Atom,
    Need,
    Place,
    Position,
    Renewal,
    Sealing,
    Tool,
    WayTexts,
)
from sequencer.machine.reader.items import listed_items, read_item, waiting_for
from sequencer.machine.reader.scope import Scope
from sequencer.machine.reader.yaml_tree import Path
from sequencer.machine.schema.joint_entry import (
    BoxEntry,
    RenewEntry,
    SealantEntry,
)
from sequencer.machine.schema.key_words import SaidEntry
from sequencer.machine.trade.heads import tool_for
from sequencer.machine.trade.links import FLUIDS, JOINTS, SEALANT, TASKS, link, links
from sequencer.machine.trade.relations import Relation

IMPLICIT_POSITION = "here"
"""The one position of a file that names none."""

NO_TIME = Fraction(0)


def once(names: list[Any] | None) -> tuple[str, ...]:
    """Each of them once, in the order of the file."""
    return tuple(dict.fromkeys(names or []))


def atoms_of(raw: list[Any] | None) -> tuple[Atom, ...]:
    """The parts and joints of a list, each once."""
    found = (spotted.atom for one in raw or [] for spotted in read_item(one, ()).atoms)
    return tuple(dict.fromkeys(found))


def said_by_ways(entry: SaidEntry | None, *, only_back: bool = False) -> WayTexts:
    """What a file says on each way; of what there is on the way back alone, all is for that."""
    if entry is None:
        return WayTexts()
    if only_back:
        return WayTexts((), once([*(entry.in_ or []), *(entry.back or [])]))
    return WayTexts(once(entry.in_), once(entry.back))


def renewals(entries: list[RenewEntry] | None) -> tuple[Renewal, ...]:
    """What is not used twice."""
    return tuple(Renewal(one.item, one.count or 1, one.price, one.interval) for one in entries or [])


def boxes(boxes: list[BoxEntry] | None) -> tuple[Box, ...]:
    """Boxes of the frame."""
    return tuple(Box(box.at, box.size) for box in boxes or [])


class Building:
    """A machine as it is built; collects the tools as they are met."""

    def __init__(self, scope: Scope) -> None:
        entry = self.entry = scope.entry
        self.tree = scope.tree
        self.judged = scope.judged
        self.positions = {
            name: Position(
                name,
                at.label or name,
                at.enter or NO_TIME,
                at.leave or NO_TIME,
                said_by_ways(at.caution),
                at.room or 1,
                below=bool(at.below),
                needs=once(at.needs),
                drained=once(at.drained),
                notes=said_by_ways(at.note),
                place=self._place("positions", name),
            )
            for name, at in (entry.positions or {}).items()
        } or {IMPLICIT_POSITION: Position(IMPLICIT_POSITION, "Here")}
        self.here = next(iter(self.positions))
        self.tools: dict[str, Tool] = {}
        self.waiting = self._waiting()

    def _place(self, *path: str) -> Place:
        return self.tree.place(path, key=True)

    def _waits(self, entry: object, holder: str, path: Path, but: Container[Path] = ()) -> tuple[Need, ...]:
        """What an entry lists under its relations, of each list each once, less what stands at ``but``."""
        found: dict[tuple[Relation, tuple[Atom, ...]], Need] = {}
        for item, relation in listed_items(entry, holder, path):
            if item.path not in but:
                atoms = tuple(dict.fromkeys(spotted.atom for spotted in item.atoms))
                found.setdefault((relation, atoms), Need(atoms, self.tree.place(item.path), relation))
        return tuple(found.values())

    def _waiting(self) -> dict[tuple[str, str | None], list[str]]:
        """For each part and joint that a task says it is before, those tasks in the order of the file."""
        waiting: dict[tuple[str, str | None], list[str]] = {}
        for name, task in (self.entry.tasks or {}).items():
            for where in waiting_for(task, self.entry.parts):
                waiting.setdefault(where, []).append(name)
        return waiting

    def _tool(self, name: str | None, head: str | None = None, *, spanner: bool = False) -> str:
        """The name of the tool, which is then among the machine's; a declared one goes before a told one."""
        declared = self.entry.tools or {}
        told = (
            Tool(name, name)
            if name in declared
            else tool_for(name or head or HAND, spanner=spanner and name is None)
        )
        assert told is not None
        if told.name == HAND:
            return HAND
        if told.name in declared:
            given = declared[told.name]
            drive = " ".join((given.drive or "none").split())
            own_drive = None if drive == "none" else drive
            told = replace(
                told,
                label=given.label or told.name,
                drive=own_drive,
                count=given.count or 1,
                cautions=said_by_ways(given.caution),
                notes=said_by_ways(given.note),
            )
        self.tools.setdefault(told.name, told)
        return told.name

    def _links(self, entry: object, holder: str, at: tuple[str, str | None]) -> dict[str, Any]:
        """What an entry names under its links; among tasks also those that say it waits for them."""
        found: dict[str, Any] = {}
        for one in links(holder):
            named = map(str, atoms_of(one.of(entry))) if one.names == JOINTS else one.of(entry)
            found[one.key] = once([*named, *(self.waiting.get(at, []) if one.names == TASKS else ())])
        return found

    def _sealing(self, sealant: SealantEntry | None, path: Path) -> Sealing | None:
        if sealant is None:
            return None
        place = self.tree.place((*path, "sealant"), key=True)
        against = once(link(SEALANT, FLUIDS).of(sealant))
        return Sealing(sealant.kind, place, sealant.assemble_within, sealant.cure, against)
