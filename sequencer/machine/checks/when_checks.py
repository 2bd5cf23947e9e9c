"""What a torque waits for: names that can be back by then, and a joint that can still be reached."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.machine.checks.back_checks import ever_back
from sequencer.machine.facts.basics import Subject
from sequencer.machine.faults import quote
from sequencer.machine.reader.items import in_front
from sequencer.machine.reader.scope import Scope
from sequencer.machine.reader.yaml_tree import Path
from sequencer.machine.schema.entries import MachineEntry, PartEntry
from sequencer.machine.schema.joint_entry import JointEntry, TorqueEntry


def awaited(entry: MachineEntry, torque: TorqueEntry | None) -> Iterator[tuple[int, str, str]]:
    """What a torque waits for: place in the list, section (``joints`` for a joint) and name.

    A part goes before a fluid, and a fluid before a task; what is nowhere is left out.
    """
    sections = (("parts", entry.parts), ("fluids", entry.fluids or {}), ("tasks", entry.tasks or {}))
    for number, name in enumerate((torque.when if torque else None) or []):
        if not isinstance(name, str):
            continue
        named = Subject(name)
        if named.of_joint:
            part = entry.parts.get(named.part)
            if named.joint in ((part and part.joints) or {}):
                yield number, "joints", name
        elif section := next((section for section, names in sections if name in names), None):
            yield number, section, name


def check_when(scope: Scope, part: PartEntry, joint: JointEntry, path: Path) -> None:
    """Note what the torque of the joint at ``path`` waits for in vain, or can't be reached after."""
    torque = joint.torque
    if torque is None or (torque.when is None and torque.from_ is None):
        return
    label = f"`{quote(path[1])}/{quote(path[3])}`"
    if torque.from_ is not None:
        scope.knows("positions", torque.from_, (*path, "torque", "from"))
    here = (*path, "torque", "when")
    known = {number: (section, name) for number, section, name in awaited(scope.entry, torque)}
    place = _torqued_from(scope, part, joint)
    there = (scope.entry.positions or {}).get(place)
    for where, name in scope.texts(torque.when, here):
        section, _ = known.get(int(where[-1]), ("", ""))
        if not section:
            _unknown(scope, name, where)
        elif section in ("fluids", "tasks"):
            kept = (there.needs if section == "tasks" else there.drained) if there else None
            if not ever_back(scope.entry, name, section):
                how = "has no `undo`" if section == "tasks" else "is not filled again"
                scope.error(where, f"`{quote(name)}` {how}, so {label} would wait for ever", "take it out")
            elif name in (kept or []):
                how = "undone" if section == "tasks" else "filled"
                scope.error(
                    where,
                    f"{label} gets its torque from `{quote(place)}`, where nobody works once "
                    f"`{quote(name)}` is {how}",
                    "say from where it is torqued then: from",
                )
        elif line := _in_front(scope, part, joint, path, name):
            scope.error(
                where,
                f"{label} can't be reached once `{quote(name)}` is back: it is behind it (line {line})",
                "take it out, or say what is really in the way",
            )


def _torqued_from(scope: Scope, part: PartEntry, joint: JointEntry) -> str:
    own = [joint.torque.from_ if joint.torque else None, joint.fit.from_ if joint.fit else None]
    default = next(iter(scope.names("positions")), "")
    return next((place for place in (*own, joint.from_, part.from_) if place), default)


def _unknown(scope: Scope, name: str, where: Path) -> None:
    named = Subject(name)
    if not named.of_joint:
        scope.knows_any(("parts", "fluids", "tasks"), name, where)
    elif scope.knows("parts", named.part, where):
        scope.knows_joint(named.part, named.joint, where)


def _in_front(scope: Scope, part: PartEntry, joint: JointEntry, path: Path, name: str) -> int | None:
    """The line of what is in its way and nothing but ``name`` meets; None where there is none."""
    for item in in_front(part, joint, path):
        atoms = [spotted.atom for spotted in item.atoms]
        # a joint of what has to be off is fastened only once that is back
        back = name, Subject(name).part
        if atoms and all(str(atom) in back or name == atom.part for atom in atoms):
            if not Subject(name).of_joint and all(atom.joint is not None for atom in atoms):
                continue  # the part may be back and its joint not yet
            return scope.place(item.path).line
    return None
