"""What somebody lifts at a step: the part, and what rides along on it."""

from __future__ import annotations

from dataclasses import dataclass

from sequencer.graph.operations import Kind
from sequencer.machine.model import Machine
from sequencer.plan.plan import Plan, Refit, Step

MOVES = frozenset({Kind.MOVE_ASIDE, Kind.REMOVE, Kind.FIT, Kind.MOVE_BACK})
"""The operations in which somebody carries the part's weight."""


@dataclass(frozen=True)
class Lift:
    """What is lifted at a step.

    Attributes:
        kg: The weights that the file gives, together; None where it gives none.
        whole: Whether it gives all of them.
        riders: The parts that ride along.
    """

    kg: float | None
    whole: bool = True
    riders: tuple[str, ...] = ()

    @property
    def weight(self) -> str:
        """``24 kg``, ``at least 18 kg`` where a weight is missing; empty where all are."""
        if not self.kg:
            return ""
        return f"{self.kg:g} kg" if self.whole else f"at least {self.kg:g} kg"


def lift_words(machine: Machine, lift: Lift) -> str:
    """``24 kg, with Left manifold riding along``."""
    names = [machine.parts[name].label or name for name in lift.riders]
    ride = f"with {', '.join(names)} riding along" if names else ""
    return ", ".join(piece for piece in (lift.weight, ride) if piece)


def lifts(plan: Plan) -> dict[int, Lift]:
    """The lifts of a plan, by the number of the step.

    A rider rides along unless it was taken off before; on the way back, unless it is fitted afterwards.
    """
    found: dict[int, Lift] = {}
    gone = {*plan.earlier}
    if isinstance(plan, Refit):
        gone |= {f"away {op.subject}" for op in plan.teardown.operations if op.kind is Kind.REMOVE}
    for step in plan.steps:
        if step.operation.kind in MOVES and step.operation.part is not None:
            found[step.number] = _lift(plan, step, gone)
        gone.add(step.operation.name)
    return found


def _lift(plan: Plan, step: Step, gone: set[str]) -> Lift:
    machine, part = plan.machine, step.operation.part
    assert part is not None
    riders: tuple[str, ...] = ()
    if step.operation.kind in (Kind.REMOVE, Kind.FIT):
        riders = tuple(one.name for one in machine.riders(part) if not _is_off(plan, one.name, gone))
    given = [machine.parts[name].weight_kg for name in (part, *riders)]
    known = [kg for kg in given if kg is not None]
    return Lift(sum(known) if known else None, len(known) == len(given), riders)


def _is_off(plan: Plan, part: str, gone: set[str]) -> bool:
    """Whether a part lies apart when another is lifted that it could ride on."""
    if isinstance(plan, Refit):
        return f"away {part}" in gone and Kind.FIT.of(part) not in gone
    return Kind.REMOVE.of(part) in gone
