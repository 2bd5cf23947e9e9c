"""What the hidden blockers that a scan found cost a job: the best plan with them, less the best without."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from sequencer.engine.problem import Limits
from sequencer.graph import Target, UnreachableError
from sequencer.graph.geometry import Scan
from sequencer.graph.geometry.added import to_write, with_need
from sequencer.plan.answer import Watch
from sequencer.plan.prefer import Prefer
from sequencer.plan.teardown import plan_teardown


@dataclass(frozen=True)
class Surprise:
    """A job's time in seconds as the file has it, and with all that the boxes show.

    Attributes:
        added: The operations that the second plan has and the first lacks, as a plan names them.
        proven: Both are the least there is.
    """

    written: Fraction
    seen: Fraction
    added: tuple[str, ...]
    proven: bool


def surprise(
    scan: Scan, targets: Sequence[Target], limits: Limits, watch: Watch | None = None
) -> Surprise | None:
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
    return Surprise(before.totals.seconds, after.totals.seconds, added, before.proven and after.proven)
