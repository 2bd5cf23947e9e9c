"""What a machine file names, and the looking up of names in it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from sequencer.machine.faults import Faults, nearest, quote, suggestion
from sequencer.machine.model import HAND, Place
from sequencer.machine.reader.items import ListItem, Spotted, read_item
from sequencer.machine.reader.yaml_tree import BROKEN, Path, Tree
from sequencer.machine.schema.entries import MachineEntry
from sequencer.machine.schema.fields import kind_of
from sequencer.machine.trade.heads import head_meant, tool_for
from sequencer.machine.trade.links import FLUIDS, TASKS, links
from sequencer.torque.guard.judgement import Judgement
from sequencer.wording import joined


@dataclass(frozen=True)
class _Section:
    """A section of names: what one is called, and what to do where it is nowhere."""

    one: str
    otherwise: str


_SECTIONS = {
    "parts": _Section("part", "add it under parts, or take it out"),
    "positions": _Section("position", "add it under positions"),
    "tools": _Section("tool", "add it under tools, or write a head: 13, T25, allen 6"),
    "fluids": _Section("fluid", "add it under fluids"),
    "tasks": _Section("task", "add it under tasks"),
}


def _key_for(section: str | None, path: Path) -> str | None:
    """The key under which a part or joint names a fluid or a task."""
    if path[0] != "parts" or section not in (FLUIDS, TASKS):
        return None
    holder = "joint" if "joints" in path else "part"
    return next((link.key for link in links(holder) if link.names == section), None)


class Scope:
    """A file's names and faults, and what was made of its torques.

    Names that are in the file but were taken out for a fault of their own still count as known.

    Attributes:
        judged: What the strength guard says of each joint, by its path: judged once, here, for everybody.
    """

    def __init__(self, entry: MachineEntry, tree: Tree, faults: Faults) -> None:
        self.entry = entry
        self.judged: dict[Path, Judgement] = {}
        self.tree = tree
        self.faults = faults
        self._known = {section: self._names((section,)) for section in _SECTIONS}
        self._joints: dict[str, dict[str, None]] = {}

    def _names(self, path: Path) -> dict[str, None]:
        raw = self.tree.at(path)
        return dict.fromkeys(raw) if isinstance(raw, dict) else {}

    def names(self, section: str) -> dict[str, None]:
        """The names in a section, in the order of the file."""
        return self._known[section]

    def joints(self, part: str) -> dict[str, None]:
        """The names of a part's joints."""
        if part not in self._joints:
            self._joints[part] = self._names(("parts", part, "joints"))
        return self._joints[part]

    def error(self, path: Path, problem: str, remedy: str, *, key: bool = False) -> None:
        """Note a fault at ``path``."""
        self.faults.error(self.tree.place(path, key=key), problem, remedy)

    def warning(self, path: Path, problem: str, remedy: str, *, key: bool = False) -> None:
        """Note a warning at ``path``."""
        self.faults.warning(self.tree.place(path, key=key), problem, remedy)

    def place(self, path: Path) -> Place:
        """Where ``path`` is written."""
        return self.tree.place(path)

    def suggest(self, name: str, known: Sequence[str], otherwise: str) -> str:
        """What to do about an unknown name; short once there are so many faults that nobody reads them."""
        return otherwise if self.faults.full else suggestion(name, known, otherwise)

    def knows(self, section: str, name: str, path: Path, *, key: bool = False) -> bool:
        """Whether ``name`` is in ``section``; notes the fault if not."""
        if name in self._known[section]:
            return True
        words = _SECTIONS[section]
        if self._is_left_out(name, path, key=key):
            return False
        problem = f"there is no {words.one} `{quote(name)}`"
        other = next((one for one in _SECTIONS if name in self._known[one]), None)
        if other:
            problem += f"; it is a {_SECTIONS[other].one}"
        advice = self.suggest(name, list(self._known[section]), words.otherwise)
        if key_for := _key_for(other, path):
            advice = f"write it under `{key_for}`"
        elif section == "parts" and not self.faults.full and nearest(name, self._known[section]) is None:
            owner = next((part for part in self._known["parts"] if name in self.joints(part)), None)
            advice = f"did you mean the joint `{quote(owner)}/{quote(name)}`?" if owner else advice
        self.error(path, problem, advice, key=key)
        return False

    def knows_any(self, sections: Sequence[str], name: str, path: Path) -> bool:
        """Whether ``name`` is in one of ``sections``; notes the fault if not."""
        known = [one for section in sections for one in self._known[section]]
        if name in known:
            return True
        if self._is_left_out(name, path):
            return False
        kinds = joined((_SECTIONS[section].one for section in sections), "or")
        advice = self.suggest(name, known, _SECTIONS[sections[0]].otherwise)
        self.error(path, f"there is no {kinds} `{quote(name)}`", advice)
        return False

    def knows_joint(self, part: str, name: str, path: Path) -> bool:
        """Whether ``part`` has the joint; notes the fault if not."""
        if name in self.joints(part):
            return True
        if self._is_left_out(f"{part}/{name}", path):
            return False
        advice = self.suggest(name, list(self.joints(part)), f"add it under the joints of {quote(part)}")
        self.error(path, f"`{quote(part)}` has no joint `{quote(name)}`", advice)
        return False

    def _is_left_out(self, name: str, path: Path, *, key: bool = False) -> bool:
        """Whether an include leaves it out; notes that it is missed here."""
        place = self.tree.left_out.get(name)
        if place is not None:
            problem = f"`{quote(name)}` is needed here, and is left out by `without` in {place}"
            self.error(path, problem, "leave it in there, or say here what is meant without it", key=key)
        return place is not None

    def knows_tool(self, name: str, path: Path) -> bool:
        """Whether a tool is declared, or can be told from the name as from a head."""
        if name in self._known["tools"] or name == HAND or tool_for(name) is not None:
            return True
        meant = head_meant(name)
        if meant and nearest(name, self._known["tools"]) is None:
            self.error(path, f"there is no tool `{quote(name)}`", f"write {meant}, or add it under tools")
            return False
        return self.knows("tools", name, path)

    def texts(self, raw: list[Any] | None, path: Path, *, twice: bool = False) -> Iterator[tuple[Path, str]]:
        """The texts of a list with their paths; notes what is none and, unless ``twice``, what is double."""
        seen = set()
        for number, one in enumerate(raw or []):
            here = (*path, number)
            if one is BROKEN:
                continue
            if not isinstance(one, str) or not one.strip():
                what = "an empty entry" if one in (None, "") else kind_of(one)
                self.error(
                    here, f"a name or text is wanted here, and this is {what}", "write one, or take it out"
                )
            elif one in seen and not twice:
                self.warning(here, f"`{quote(one)}` is in this list twice", "take one out")
            else:
                seen.add(one)
                yield here, one

    def items(self, raw: list[Any] | None, path: Path) -> Iterator[ListItem]:
        """The entries of such a list as a relation has; notes what is malformed."""
        seen: dict[tuple[Any, ...], None] = {}
        for number, one in enumerate(raw or []):
            item = read_item(one, (*path, number))
            for where, problem, remedy in item.problems:
                self.error(where, problem, remedy)
            atoms = tuple(spotted.atom for spotted in item.atoms)
            if atoms and atoms in seen:
                self.warning(item.path, "this is in the list twice", "take one out")
            seen[atoms] = None
            yield item

    def knows_atom(self, spotted: Spotted) -> bool:
        """Whether the part, and the joint where there is one, is in the file; notes the fault if not."""
        atom = spotted.atom
        if not self.knows("parts", atom.part, spotted.path, key=spotted.key):
            return False
        return atom.joint is None or self.knows_joint(atom.part, atom.joint, spotted.path)
