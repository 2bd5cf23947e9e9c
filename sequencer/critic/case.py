"""What the critic reads: a machine and its graph, and the plans there are; asked as a mechanic would."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from sequencer.critic.finding import Named
from sequencer.critic.taken_for import is_a, says
from sequencer.graph.operations import OperationGraph
from sequencer.graph.reach import possible
from sequencer.graph.targets import Target
from sequencer.machine.model import (
    HAND,
    Atom,
    Joint,
    Machine,
    Need,
    Part,
    Position,
    State,
    Task,
)
from sequencer.machine.trade.kinds import Holds
from sequencer.plan.looks.looks_kinds import kind_name
from sequencer.plan.plan import Plan, Refit, Teardown
from sequencer.plan.practice.ruled_job import holds


@dataclass(frozen=True)
class Case:
    """A machine as the critic looks at it.

    Attributes:
        graph: All that can be done to it.
        removal: An order for the way in, where there is one; ``refit`` for the way back.
    """

    machine: Machine
    graph: OperationGraph
    removal: Teardown | None = None
    refit: Refit | None = None

    # ---- What things are ----

    def is_a(self, kind: str, thing: Named) -> bool:
        """Whether a thing is of a sort of ``data/words.toml``, by its name and label."""
        return is_a(kind, thing.name, thing.label, order=isinstance(thing, Task))

    def tool_is_a(self, kind: str, tool: str) -> bool:
        """Whether a tool is of a sort; bare hands are of none."""
        known = self.machine.tools.get(tool)
        return tool != HAND and is_a(kind, tool, known.label if known else None)

    def name_is_a(self, kind: str, label: str) -> bool:
        """Whether something that has no name but a label is of a sort."""
        return is_a(kind, label, order=True)

    @cached_property
    def plans(self) -> tuple[Plan, ...]:
        """The orders there are."""
        return tuple(plan for plan in (self.removal, self.refit) if plan is not None)

    @cached_property
    def targets(self) -> tuple[Target, ...]:
        """What the job is for, where there is one."""
        removal = self.removal or (self.refit.teardown if self.refit else None)
        return tuple(removal.targets) if removal else ()

    @cached_property
    def parts(self) -> tuple[Part, ...]:
        """The parts, in the order of the file."""
        return tuple(self.machine.parts.values())

    @cached_property
    def tasks(self) -> tuple[Task, ...]:
        """The tasks, in the order of the file."""
        return tuple(self.machine.tasks.values())

    @cached_property
    def poses(self) -> tuple[Position, ...]:
        """The positions in which the whole machine lies otherwise than it stands."""
        return tuple(one for one in self.machine.positions.values() if self.is_a("pose", one))

    # ---- What the file says of them ----

    def texts(self, part: Part, *joints: Joint) -> tuple[str, ...]:
        """All that the author says of a part and of ``joints``; left out, of all its joints."""
        found = [*part.cautions.all, *part.notes.all, *part.prepare, part.label or ""]
        found += [renewal.item for renewal in part.renew]
        for joint in joints or part.joints.values():
            found += [*joint.cautions.all, *joint.notes.all, joint.label or "", joint.name.replace("-", " ")]
        return tuple(found)

    def tells(self, kind: str, part: Part, *joints: Joint) -> bool:
        """Whether the author speaks of a sort at a part and its joints."""
        return says(kind, self.texts(part, *joints))

    def tasks_for(self, part: Part, *joints: Joint) -> tuple[Task, ...]:
        """The tasks that come before a part or one of ``joints`` is touched; left out, of all its joints."""
        names = dict.fromkeys((*part.needs, *(n for j in joints or part.joints.values() for n in j.needs)))
        return tuple(self.machine.tasks[name] for name in names)

    def carriers(self, part: str) -> Iterator[Task]:
        """The tasks that take a part's weight."""
        return (task for task in self.tasks if part in task.load)

    def spills(self, part: Part) -> frozenset[str]:
        """The fluids that are out before a part or one of its joints is opened."""
        return frozenset(part.all_spills)

    # ---- How it holds together ----

    def held_by(self, part: Part, *how: Holds) -> tuple[Joint, ...]:
        """The joints of a part that hold it in one of these ways."""
        return tuple(joint for joint in part.joints.values() if holds(joint) in how)

    def bearing(self, part: Part) -> tuple[Joint, ...]:
        """The joints that bear or locate a part."""
        return self.held_by(part, Holds.BEARING, Holds.LOCATING)

    def needs_of(self, part: Part) -> Iterator[Need]:
        """What is in the way of a part and of its joints."""
        yield from part.all_waits

    @cached_property
    def asked(self) -> frozenset[Atom]:
        """Everything that something in the file waits for."""
        needs = [need for part in self.parts for need in self.needs_of(part)]
        needs += [need for task in self.tasks for need in task.waits]
        for fluid in self.machine.fluids.values():
            needs += [*fluid.drain.waits, *(fluid.fill.waits if fluid.fill else ())]
        return frozenset(atom for need in needs for atom in need.any_of)

    # ---- What can be done before what ----

    def without(self, *names: str) -> frozenset[str]:
        """All that can be done where none of these operations is."""
        if names not in self._without:
            rest = {name: needs for name, needs in self.graph.needs.items() if name not in names}
            self._without[names] = frozenset(possible(rest))
        return self._without[names]

    @cached_property
    def _without(self) -> dict[tuple[str, ...], frozenset[str]]:
        return {}

    def work_at(self, position: str) -> Iterator[str]:
        """The operations that are done at a position."""
        return (name for name, op in self.graph.operations.items() if op.position == position)

    @cached_property
    def behind_off(self) -> dict[str, frozenset[str]]:
        """For each part those that are off, whatever is chosen, before it can be reached."""
        return {
            part.name: frozenset(
                atom.part
                for need in part.to_reach
                if len(need.any_of) == 1
                for atom in need.any_of
                if atom.joint is None and atom.state is State.OFF
            )
            for part in self.parts
        }


def bolted_down(case: Case, part: Part) -> list[Joint]:
    """The joints that press a part on its face: screwed ones that are no feet, stays or brackets."""
    screwed = (one for one in part.joints.values() if kind_name(one) in ("bolt", "nut", "screw", "stud"))
    return [joint for joint in screwed if not case.is_a("feet", joint)]


def torque_nm(joint: Joint) -> float:
    """The greatest torque that a joint gets, in N·m; 0 for none."""
    if joint.torque is None:
        return 0.0
    return max((float(getattr(stage, "newton_metres", 0)) for stage in joint.torque.stages), default=0.0)
