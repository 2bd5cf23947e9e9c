"""The rules of the critic, and what they find together."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from itertools import groupby

from sequencer.critic.case import Case
from sequencer.critic.finding import Code, Finding
from sequencer.critic.rules import (
    fluids,
    hanging,
    joints,
    orders,
    places,
    proof,
    shafts,
    supports,
    times,
    weights,
)
from sequencer.graph.derive import derive
from sequencer.graph.operations import Kind, Operation
from sequencer.machine.model import Machine, Subject
from sequencer.plan.plan import Plan, Refit, Teardown

Rule = Callable[[Case], Iterator[Finding]]

RULES: dict[Code, Rule] = {
    Code.WEIGHT_MISSING: weights.weight_missing,
    Code.HELD_BY_LITTLE: weights.held_by_little,
    Code.NO_SUPPORT: weights.no_support,
    Code.ONE_PERSON: weights.one_person,
    Code.NOTHING_CARRIED: supports.nothing_carried,
    Code.STAYS: supports.stays,
    Code.POSE_FLUID: places.pose_fluid,
    Code.POSE_OIL: places.pose_oil,
    Code.POSE_TASK: places.pose_task,
    Code.POSE_JOINTS: places.pose_joints,
    Code.PLACE_TOO_EARLY: places.place_too_early,
    Code.BENCH_FITTED: places.bench_fitted,
    Code.DRAIN_PLUG: fluids.drain_plug,
    Code.DRAINED_BY_HAND: fluids.drained_by_hand,
    Code.FILL_LEVEL: fluids.fill_level,
    Code.OIL_FILTER: fluids.oil_filter,
    Code.NOT_WET: fluids.not_wet,
    Code.NO_FLUID: fluids.no_fluid,
    Code.WET_PLUG: fluids.wet_plug,
    Code.RUNS_OVER: fluids.runs_over,
    Code.STRUT_LATE: supports.strut_late,
    Code.WHEN_ALONE: supports.when_alone,
    Code.NO_PROOF: proof.no_proof,
    Code.NO_FIRST_RUN: proof.no_first_run,
    Code.RUN_OPEN: proof.run_open,
    Code.SET_OPEN: proof.set_open,
    Code.RUN_DEAD: proof.run_dead,
    Code.RUN_PROPPED: orders.run_propped,
    Code.EARTH_CHECK: proof.earth_check,
    Code.OFF_MARK: proof.off_mark,
    Code.REMOVAL_TOOL: joints.removal_tool,
    Code.OLD_GASKET: joints.old_gasket,
    Code.NO_RENEWAL: joints.no_renewal,
    Code.FEET_FIRST: joints.feet_first,
    Code.BEHIND_WHOLE: joints.behind_whole,
    Code.FREES_NOTHING: joints.frees_nothing,
    Code.PANEL_PLUG: joints.panel_plug,
    Code.COUNTER_HOLD: shafts.counter_hold,
    Code.CRACK_HOLD: shafts.crack_hold,
    Code.CRACK_SLACK: shafts.crack_slack,
    Code.HOLDER_AWAY: shafts.holder_away,
    Code.NO_TAPER: shafts.no_taper,
    Code.TAPER_NUT: shafts.taper_nut,
    Code.KEY_FIRST: shafts.key_first,
    Code.TENSION: shafts.tension,
    Code.BEHIND_BELT: shafts.behind_belt,
    Code.TIME: times.odd_time,
    Code.SEIZED: times.seized,
    Code.HUNG: hanging.hung,
    Code.TWO_LOADS: orders.two_loads,
    Code.HALF_HELD: hanging.half_held,
    Code.ON_DOWELS: hanging.on_dowels,
    Code.FORCED: hanging.forced,
    Code.HANGS_BY: hanging.hangs_by,
    Code.SPRING_LAST: hanging.spring_last,
    Code.UNDONE_TIGHT: hanging.undone_tight,
    Code.LEFT_HANGING: hanging.left_hanging,
    Code.OVERHEAD: hanging.overhead,
    Code.POSE_LOOSE: orders.pose_loose,
    Code.POSE_SUPPORT: orders.pose_support,
    Code.LATE_TORQUE: orders.late_torque,
}
"""Each rule by the code of what it finds; ``frees_nothing`` finds ``state-fast`` as well."""


def findings(
    machine: Machine, removal: Teardown | None = None, refit: Refit | None = None
) -> tuple[Finding, ...]:
    """All oddities of a machine file, and of the orders of work that are given; in the order of the file."""
    case = Case(machine, derive(machine), removal, refit)
    return _sorted(found for rule in RULES.values() for found in rule(case))


def findings_at(plan: Plan) -> tuple[Finding, ...]:
    """The oddities that one job meets: those of what its plan touches, and those of its order."""
    removal = plan if isinstance(plan, Teardown) else None
    refit = plan if isinstance(plan, Refit) else None  # its way in is another paper, with other numbers
    touched = (*(refit.teardown.operations if refit else ()), *plan.operations)
    return _touched_by(touched, findings(plan.machine, removal, refit))


def findings_of_job(machine: Machine, operations: Iterable[Operation]) -> tuple[Finding, ...]:
    """The oddities of what a job under way touches, its order left out: that is the person's by now."""
    return _touched_by(operations, findings(machine))


def _touched_by(operations: Iterable[Operation], found: Iterable[Finding]) -> tuple[Finding, ...]:
    touched = {one for op in operations for one in _things(op)}
    return tuple(one for one in found if (one.section, Subject(one.about).part) in touched)


def _things(operation: Operation) -> Iterator[tuple[str, str]]:
    """What an operation touches, each with its section of the file."""
    yield "positions", operation.position
    if operation.part is not None:
        yield from (("parts", operation.part), ("joints", operation.part))
    else:
        task = operation.kind in (Kind.TASK, Kind.RESTORE)
        yield "tasks" if task else "fluids", operation.subject


def _sorted(found: Iterable[Finding]) -> tuple[Finding, ...]:
    each = {(one.code, one.section, one.about): one for one in reversed(list(found))}
    ordered = sorted(each.values(), key=lambda one: (one.place.line, one.place.column, one.code.value))
    return tuple(_once_for_all_sides(ordered))


def _once_for_all_sides(found: Iterable[Finding]) -> Iterator[Finding]:
    """What is written once for several sides is odd once: the first side's finding stands for them."""
    for _, sides in groupby(found, key=lambda one: (one.code, replace(one.place, within=""))):
        several = list(sides)
        if several[0].place.within and len(several) > 1:
            yield replace(several[0], place=replace(several[0].place, within=""))
        else:
            yield from several
