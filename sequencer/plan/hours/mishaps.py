"""What may go wrong with a fastener, how often, and what it then costs.

A fastener that is seized, rounded or breaks off makes an evening of an hour. How often stands with its kind
(``kinds.toml``); what makes it likelier, in ``data/hours.toml``; what it costs is the time of the usual ways
out (``trouble``), tried in their turn until one helps. All of it is common practice.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from sequencer.graph.operations import Kind, Op, Operation
from sequencer.machine.facts.condition import UNSAID
from sequencer.machine.model import HAND, Joint, Machine
from sequencer.machine.trade.kinds import kind_of_joint
from sequencer.plan.hazards.trouble import ways_out
from sequencer.plan.hours.hours_table import hours_table
from sequencer.quantities import TorqueQuantity

_APART = frozenset({Kind.CRACK, Kind.SLACKEN, Kind.UNDO})
_TOGETHER = frozenset({Kind.TIGHTEN, Kind.RETIGHTEN, Kind.FASTEN})


@dataclass(frozen=True)
class Mishap:
    """What may happen at one joint.

    Attributes:
        joint: Its path, ``pulley/bolts``.
        operation: The first operation on it, at which it happens.
        count: So many fasteners.
        chance: Of each one.
        seconds: Of each way out that may be tried there, in its turn.
    """

    joint: str
    operation: str
    count: int
    chance: float
    seconds: tuple[float, ...]

    @property
    def expected(self) -> float:
        """What it costs on average, in seconds."""
        helps, cost, reached = float(hours_table()["trouble"]["helps"]), 0.0, 1.0
        for seconds in self.seconds:
            cost += reached * seconds
            reached *= 1 - helps
        return self.count * self.chance * cost


def mishaps(machine: Machine, operations: Iterable[Operation], begun: Iterable[str] = ()) -> Iterator[Mishap]:
    """What may happen at the joints that these operations open or close, each at the first of them.

    A joint that an operation of those ``begun`` has moved the same way already gives no more trouble.
    """
    moved: set[tuple[str, bool]]
    moved = {(op.subject, op.kind in _TOGETHER) for op in map(Op, begun) if op.kind in _APART | _TOGETHER}
    for operation in operations:
        back = operation.kind in _TOGETHER
        known = (operation.subject, back) in moved
        if operation.kind not in _APART | _TOGETHER or operation.joint is None or known:
            continue
        assert operation.part is not None
        moved.add((operation.subject, back))
        joint = machine.joint(operation.part, operation.joint)
        chance = chance_of(machine, joint, back=back)
        seconds = _ways(machine, joint, back=back) if chance else ()
        if seconds:
            yield Mishap(joint.path, operation.name, joint.count, chance, seconds)


def chances(machine: Machine, operations: Iterable[Operation]) -> float:
    """How likely it is that any fastener makes trouble in these operations."""
    without = 1.0
    for operation in operations:
        back = operation.kind in _TOGETHER
        if operation.part is None or operation.joint is None or not (back or operation.kind in _APART):
            continue
        joint = machine.joint(operation.part, operation.joint)
        without *= (1 - chance_of(machine, joint, back=back)) ** joint.count
    return 1 - without


def chance_of(machine: Machine, joint: Joint, *, back: bool = False) -> float:
    """How often one fastener of a joint gives trouble, on the way in or ``back``."""
    kind, rules = kind_of_joint(joint.kind), hours_table()["trouble"]
    if kind is None or not kind.trouble:
        return 0.0
    part = machine.parts.get(joint.part)
    condition = (part.condition if part else UNSAID).over(machine.condition)
    said = " ".join(filter(None, (joint.name, joint.label, joint.part, part.label if part else "")))
    words = set(re.findall(r"[\w-]+", said.casefold()))
    words |= {piece for word in words for piece in word.split("-")}
    chance = kind.trouble * float(rules["rust"][condition.rust or "light"])
    if condition.years is not None:
        chance *= float(rules["age"]) ** (condition.years / 10 - 1)
    if words & set(rules["hot_words"]):
        chance *= float(rules["hot"])
    if words & set(rules["wet_words"]) or _from_below(machine, joint.position):
        chance *= float(rules["wet"])
    if _small(joint):
        chance *= float(rules["small"])
    if _most(joint) >= float(rules["tight_from"]):
        chance *= float(rules["tight"])
    if back:
        chance *= float(rules["back"])
    return min(chance, float(rules["most"]))


def _most(joint: Joint) -> float:
    """The highest torque of its stages, N.m; nothing where none is given."""
    stages = joint.torque.stages if joint.torque else ()
    return max(
        (float(stage.newton_metres) for stage in stages if isinstance(stage, TorqueQuantity)), default=0.0
    )


def _from_below(machine: Machine, position: str) -> bool:
    return position in machine.positions and machine.positions[position].below


def _small(joint: Joint) -> bool:
    """Whether it breaks before it turns: up to M6, or by its head where no thread is given."""
    if joint.thread_mm is not None:
        return joint.thread_mm <= _SMALL_MM
    return joint.head is not None and joint.head.isdecimal() and int(joint.head) <= _SMALL_HEAD


_SMALL_MM, _SMALL_HEAD = 6, 10
"""An M6, and its width across flats in mm (ISO 4014)."""


def _ways(machine: Machine, joint: Joint, *, back: bool) -> tuple[float, ...]:
    state = "cross-threaded" if back else "stuck" if joint.tool == HAND else "seized"
    return tuple(float(way.seconds) for way in ways_out(machine, joint, state) if way.barred is None)
