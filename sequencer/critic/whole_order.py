"""An order of work to look at where no job is named: the whole machine apart, and together again."""

from __future__ import annotations

from collections.abc import Sequence

from sequencer.errors import SequencerError
from sequencer.graph.derive import derive
from sequencer.graph.reach import never_off
from sequencer.graph.targets import Target, parse_targets
from sequencer.machine.model import Machine
from sequencer.plan.order.patience import SMALL_STATES, limits
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.plan import Refit, Teardown
from sequencer.plan.practice.rules import Practice
from sequencer.plan.refit import plan_refit
from sequencer.plan.teardown import plan_teardown


def job_of(machine: Machine, targets: Sequence[Target] = ()) -> tuple[Teardown | None, Refit | None]:
    """An order for a job, and the way back; with no target for all that stands in the way of nothing else.

    The first good one that is found does: this is about what the file allows, not about minutes. None where
    the whole machine has none, and for a way back that can't be had, as where a bead sets too soon.

    Raises:
        SequencerError: No order of work reaches the targets.
    """
    if targets:
        return _orders(machine, targets)
    innermost = _innermost(machine)
    try:
        return _orders(machine, innermost) if innermost else (None, None)
    except SequencerError:
        return None, None


def _orders(machine: Machine, targets: Sequence[Target]) -> tuple[Teardown, Refit | None]:
    first_found = limits(gap=1.0, states=SMALL_STATES)
    asked = Prefer.TIME, first_found, None, Practice.ALL
    removal = plan_teardown(machine, targets, *asked)
    try:
        return removal, plan_refit(removal, *asked)
    except SequencerError:
        return removal, None


def _innermost(machine: Machine) -> tuple[Target, ...]:
    """The parts that nothing else waits for; those that never come off are left out."""
    shut = set(never_off(derive(machine)))
    asked = {
        atom.part
        for part in machine.parts.values()
        for need in part.all_waits
        for atom in need.any_of
        if atom.part != part.name
    }
    last = [name for name in machine.parts if name not in asked and name not in shut]
    return parse_targets(machine, last, []) if last else ()
