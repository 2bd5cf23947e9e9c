"""The last look before a heavy part is lifted: what tied it is off, and nothing else may tie it."""

from __future__ import annotations

from sequencer.graph.operations import Kind
from sequencer.graph.said import joint_words, part_words
from sequencer.machine.model import Atom, Need
from sequencer.plan.hazards.lifting import Lift
from sequencer.plan.plan import Step, Teardown

FROM_KG = 15
"""From this weight on a part is not simply put back if something still holds it (common practice)."""


def last_look(plan: Teardown, step: Step, lift: Lift | None) -> str:
    """``last look: it is free of Earth strap, Top hose, and nothing else ties it``; empty elsewhere."""
    part = step.operation.part
    kg = (lift.kg if lift else None) or 0
    if step.operation.kind is not Kind.REMOVE or part is None or kg < FROM_KG:
        return ""
    done = ({*plan.earlier} - {*plan.skipped}) | {operation.name for operation in plan.operations}
    ties = dict.fromkeys(
        words for need in plan.machine.parts[part].to_leave if (words := _met(plan, need, done))
    )
    return f"last look: it is free of {', '.join(ties)}, and nothing else ties it" if ties else ""


def _met(plan: Teardown, need: Need, done: set[str]) -> str:
    atom = next((one for one in need.any_of if not done.isdisjoint(plan.graph.clearing(one))), None)
    return _words(plan, atom) if atom else ""


def _words(plan: Teardown, atom: Atom) -> str:
    if atom.joint is not None:
        return joint_words(plan.machine, atom.part, atom.joint)
    return part_words(plan.machine, atom.part)
