"""What holds each part of a machine at one moment: its fasteners, a task that carries it, a tie, a hand.

Both ways are looked at in the direction of removal: a joint that is still to be fastened is an undone one.
What is read here stands in words in the guide (practice.md, What holds what).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from enum import Enum
from functools import cached_property

from sequencer.graph.carrying import load
from sequencer.graph.operations import Kind, Op, Operation
from sequencer.machine.model import Atom, Joint, Machine, Part, State, Task
from sequencer.machine.trade.kinds import Holds, kind_of_joint
from sequencer.plan.practice.hold import HEAVY_KG


class HeldBy(Enum):
    """What holds a part."""

    FASTENERS = "fasteners"
    """As it was, or by joints enough that are still fastened."""
    SOME = "some of its fasteners"
    CARRIED = "a task"
    RIDES = "what it rides on"
    TIED = "a tie"
    ITSELF = "itself"
    """The file says that it stays by itself."""
    LIGHT = "nothing, and it is light"
    HAND = "a hand"
    """Nothing else does: it comes down unless somebody holds it."""
    UNKNOWN = "unknown"
    """Nothing that the file knows of; it may lie or hang well all the same."""


@dataclass(frozen=True)
class Held:
    """What holds a part that is still on the machine.

    Attributes:
        tasks: The tasks that carry it, if it is held so.
    """

    by: HeldBy
    tasks: tuple[str, ...] = ()


_UNDONE = frozenset({Kind.UNDO, Kind.FASTEN})
_SLACK = frozenset({Kind.SLACKEN, Kind.TIGHTEN})
_STATES = {
    Kind.REMOVE: State.OFF,
    Kind.FIT: State.OFF,
    Kind.MOVE_ASIDE: State.ASIDE,
    Kind.MOVE_BACK: State.ASIDE,
    Kind.LOOSEN: State.LOOSE,
    Kind.SEAT: State.LOOSE,
}
TASKS = frozenset({Kind.TASK, Kind.RESTORE})


def bears(joint: Joint) -> bool:
    """Whether a joint can carry its part by itself; one of a kind that nobody knows is taken to."""
    kind = kind_of_joint(joint.kind)
    return kind is None or kind.bears


class Support:
    """What holds what while just the operations of ``opened`` are undone, in the words of either way."""

    def __init__(self, machine: Machine, opened: Iterable[Operation | Op]) -> None:
        self.machine = machine
        self._opened = tuple(opened)
        self.undone = {op.subject for op in self._opened if op.kind in _UNDONE}
        self.slack = {op.subject for op in self._opened if op.kind in _SLACK}
        self.moved: dict[str, State] = {}
        for op in self._opened:
            if op.kind in _STATES and op.part:
                self.moved[op.part] = max(_STATES[op.kind], self.moved.get(op.part, State.FITTED))

    def is_off(self, part: str) -> bool:
        """Whether a part is off, or rode off on another."""
        own = self.moved.get(part, State.FITTED) is State.OFF
        return own or any(self.moved.get(n) is State.OFF for n in self.machine.carriers(part))

    @cached_property
    def standing(self) -> tuple[str, ...]:
        """The tasks that are set up and not put away; they are undone on the way back."""
        times: dict[str, int] = {}
        for op in self._opened:
            if op.kind in TASKS:
                times[op.subject] = times.get(op.subject, 0) + 1
        tasks = self.machine.tasks
        return tuple(name for name, n in times.items() if n == 1 and name in tasks and tasks[name].undo)

    @cached_property
    def loaded(self) -> tuple[str, ...]:
        """Those of them that carry a part which its own joints do not wholly hold."""
        return tuple(name for name in self.standing if self._is_loaded(self.machine.tasks[name]))

    def _is_loaded(self, task: Task) -> bool:
        """Whether some of its load is on the machine and not held as it was before."""
        if all(self.is_off(part) for part in task.load):
            return False
        own = [self.machine.parts[name] for name in sorted(load(task))]
        joints = [joint for part in own for joint in part.joints.values() if _holds(joint)]
        away = any(
            self.is_off(part.name) or self.moved.get(part.name, State.FITTED) >= State.ASIDE for part in own
        )
        return not joints or away or any(j.path in self.undone | self.slack for j in joints)

    def held(self) -> dict[str, Held]:
        """For each part that is not off, in the order of the file, what holds it."""
        return {name: self.of(part) for name, part in self.machine.parts.items() if not self.is_off(name)}

    def of(self, part: Part) -> Held:
        """What holds a part that is not off."""
        tasks = tuple(name for name in self.loaded if part.name in self.machine.tasks[name].load)
        if tasks:
            return Held(HeldBy.CARRIED, tasks)
        aside = self.moved.get(part.name) is State.ASIDE
        undone = [joint for joint in part.joints.values() if joint.path in self.undone]
        if aside and part.tie:
            return Held(HeldBy.TIED)
        if part.hold is False and (aside or undone or self._let_go(part)):
            return Held(HeldBy.ITSELF)
        if aside:
            return Held(self._aside(part, undone))
        if undone and part.mount and not any(joint.name in part.stays_with for joint in undone):
            return Held(HeldBy.RIDES)
        return Held(self._by_joints(part, undone))

    def _aside(self, part: Part, undone: Collection[Joint]) -> HeldBy:
        left = self._left(part)
        if any(map(bears, left)):
            return HeldBy.FASTENERS
        return HeldBy.LIGHT if is_light(part) and not any(map(bears, undone)) else HeldBy.UNKNOWN

    def _by_joints(self, part: Part, undone: Collection[Joint]) -> HeldBy:
        left = self._left(part)
        if not undone:
            return HeldBy.UNKNOWN if self._let_go(part) and not is_light(part) else HeldBy.FASTENERS
        if any(map(bears, undone)):
            return HeldBy.SOME if any(map(bears, left)) else HeldBy.HAND
        if any(map(bears, left)):
            return HeldBy.FASTENERS
        if left:
            return HeldBy.UNKNOWN if is_heavy(part) else HeldBy.FASTENERS
        if is_heavy(part):
            return HeldBy.HAND
        return HeldBy.LIGHT if is_light(part) else HeldBy.UNKNOWN

    def _left(self, part: Part) -> list[Joint]:
        """Its joints that are not undone."""
        return [joint for joint in part.joints.values() if joint.path not in self.undone]

    def _let_go(self, part: Part) -> bool:
        """Whether a part that no joint holds is free to come out: what trapped it is out of the way."""
        if part.joints or not part.to_leave:
            return False
        return all(any(map(self._is_clear, need.any_of)) for need in part.to_leave)

    def _is_clear(self, atom: Atom) -> bool:
        if atom.joint is not None:
            return f"{atom.part}/{atom.joint}" in self.undone
        return self.is_off(atom.part) or self.moved.get(atom.part, State.FITTED) >= atom.state


def is_heavy(part: Part) -> bool:
    """Whether somebody has to hold a part that nothing else holds: by the file, or by its weight."""
    return part.hold is True or (part.hold is None and (part.weight_kg or 0) >= HEAVY_KG)


def is_light(part: Part) -> bool:
    """Whether a part is known to be too light to need holding."""
    return part.hold is None and part.weight_kg is not None and part.weight_kg < HEAVY_KG


def _holds(joint: Joint) -> bool:
    """Whether a joint bears or locates its part."""
    kind = kind_of_joint(joint.kind)
    return kind is None or kind.bears or kind.holds in (Holds.BEARING, Holds.LOCATING)


def supports(
    machine: Machine, steps: Iterable[Operation], *, back: bool, gone: Iterable[Op] = ()
) -> Iterator[Support]:
    """What holds what before the first of ``steps``, and after each; on the way in after what is ``gone``."""
    done = tuple(steps)
    for after in range(len(done) + 1):
        yield Support(machine, done[after:] if back else (*gone, *done[:after]))
