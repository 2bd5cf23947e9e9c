"""What the hidden blockers that a scan found cost a job: the best plan with them, less the best without."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from sequencer.engine.problem import Limits
from sequencer.graph import Target, UnreachableError
from sequencer.graph.geometry import Scan, scan
from sequencer.graph.geometry.added import to_write, with_need, within
from sequencer.graph.geometry.replayed import Replayed, replayed
from sequencer.graph.geometry.solids import Moved, solids
from sequencer.machine.model import Machine, State, Subject
from sequencer.plan.answer import Watch
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.plan import Plan, Refit, Teardown
from sequencer.plan.teardown import plan_teardown

_MOVES = ("loose", "aside")


@dataclass(frozen=True)
class SeenCost:
    """A job's time in seconds as the file has it, and with all that the boxes show.

    Attributes:
        added: The operations that the second plan has and the first lacks, as a plan names them.
        proven: Both are the least there is.
        plan: The second one.
    """

    written: Fraction
    seen: Fraction
    added: tuple[str, ...]
    proven: bool
    plan: Teardown


def against_the_shapes(plan: Plan) -> Replayed:
    """What of a plan's steps runs into something, where things lie by then; a way back after its way in.

    Raises:
        SequencerError: A shape can't be read.
    """
    into = plan.teardown.operations if isinstance(plan, Refit) else ()
    operations = (*into, *plan.operations)
    return replayed(plan.machine, solids(plan.machine), operations, told_from=len(into))


def settled(
    machine: Machine,
    targets: Sequence[Target],
    tolerance_mm: float,
    limits: Limits,
    watch: Watch | None = None,
) -> tuple[Scan, SeenCost | None]:
    """A scan for one job of which playing the job refutes no advice, and what its findings cost there.

    What is moved aside may lie in the way of a later step, or may not get there: then it has to come off.

    Raises:
        SequencerError: A shape can't be read.
    """
    room, barred = solids(machine, tolerance_mm), set[Moved]()
    while True:
        found = within(scan(machine, tolerance_mm, barred), targets)
        cost = surprise(found, targets, limits, watch)
        refuted = {(one.part, State[one.move.upper()]) for one in to_write(found)[1] if one.move in _MOVES}
        if cost is not None:
            refuted |= set(_refuted(replayed(cost.plan.machine, room, cost.plan.operations)))
        if refuted <= barred:
            return found, cost
        barred |= refuted


def _refuted(played: Replayed) -> Iterator[Moved]:
    """The states of parts that the steps of a job ran into, or could not reach."""
    for one in played.collisions:
        if one.state is not State.FITTED:
            yield Subject(one.obstacle).part, one.state
        if one.what in _MOVES and one.operation.part is not None:
            yield one.operation.part, State[one.what.upper()]


def surprise(
    scan: Scan, targets: Sequence[Target], limits: Limits, watch: Watch | None = None
) -> SeenCost | None:
    """Price the hidden relations of ``scan``; None where there are none, or a target is out of reach."""
    wanted, _ = to_write(scan)
    if not wanted:
        return None
    machine = scan.machine
    for seen in wanted:
        machine = with_need(machine, seen)
    try:
        before = plan_teardown(scan.machine, targets, Prefer.TIME, limits, watch)
        after = plan_teardown(machine, targets, Prefer.TIME, limits, watch)
    except UnreachableError:
        return None
    known = {operation.name for operation in before.operations}
    added = tuple(operation.name for operation in after.operations if operation.name not in known)
    proven = before.proven and after.proven
    return SeenCost(before.totals.seconds, after.totals.seconds, added, proven, after)
