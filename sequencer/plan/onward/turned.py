"""The way back from the present state: what is left of it, in order, with its gates."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from sequencer.engine.problem import Limits
from sequencer.graph import Target
from sequencer.graph.operations import Clause, Reason
from sequencer.graph.reverse import WayBack
from sequencer.machine.model import Machine
from sequencer.plan.closing.sealing import sealed, with_seals
from sequencer.plan.onward.aftermath import backwards
from sequencer.plan.onward.present import Present
from sequencer.plan.onward.present_back import lost, required, still_possible
from sequencer.plan.order.insertion import near_former_order
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.order.replay import replay
from sequencer.plan.order.setups import Changes
from sequencer.plan.plan import GoodPractice, Refit
from sequencer.plan.practice.ordering import kept_near
from sequencer.plan.practice.ruled_job import PracticeJob
from sequencer.plan.practice.rules import Practice
from sequencer.plan.refit import ordered, refit_of

REFIT_LIMITS = Limits(states=100_000, seconds=20)
"""For the order of a reassembly in the middle of a job: seconds, not minutes."""


@dataclass(frozen=True)
class Stranded:
    """Something to put back or to tighten that can't be reached any more, and why."""

    operation: str
    reason: Reason


@dataclass(frozen=True)
class Homeward:
    """What is left of the way back.

    Attributes:
        refit: Its steps; ``refit.teardown`` is what was really done.
        back: The whole reversed graph, with sealants and with the steps that are done already.
        stranded: What can't be reached any more: parts are in front of it that were put back too soon.
        disproved: What the file says and the teardown did without.
    """

    refit: Refit
    back: WayBack
    stranded: tuple[Stranded, ...] = ()
    disproved: tuple[Reason, ...] = ()


def plan_back(
    machine: Machine,
    targets: Sequence[Target],
    present: Present,
    prefer: Prefer = Prefer.TIME,
    limits: Limits = REFIT_LIMITS,
    former: Sequence[str] = (),
    practice: Practice = Practice.NONE,
) -> Homeward:
    """Order what is left of the reassembly from the present state, gates included.

    ``former`` is what a former plan still had to do, in its order: that order is kept, what is new is put
    between, and nothing is proven of it. Without one, the best order is looked for. Good ``practice`` holds
    for what is left, as far as it still can be kept.
    """
    back, teardown, disproved = backwards(machine, targets, present)
    gone = present.settled
    left = [name for name in back.graph.operations if name not in gone]
    rest = back.graph.restricted(left)
    able = still_possible(back, rest)
    stranded = tuple(
        Stranded(name, lost(back, rest, name)) for name in left if name not in able and required(back, name)
    )
    remaining = replace(
        back,
        graph=rest.restricted(able),
        goals=tuple(
            goal_left
            for goal in back.goals
            if (goal_left := Clause(tuple(n for n in goal.any_of if n in able), goal.reason)).any_of
        ),
    )
    changes = present.changes(machine, back.drives)
    known = _known(remaining, former, changes) if former else None
    if known is not None:
        signed = None
        if practice is Practice.ALL:
            job = PracticeJob(remaining.graph.restricted(known), back=True)
            kept = kept_near(job, known, back.graph, gone, changes.place)
            known = kept.order or known
            signed = GoodPractice(None, tuple(kept.rules), tuple(kept.dropped))
        _, order, _ = sealed(remaining.graph, tuple(reversed(known)), changes, gone)
        home = as_planned(machine, targets, present, order, prefer)
        return replace(home, refit=replace(home.refit, practice=signed), stranded=stranded)
    refit = ordered(
        teardown, remaining, changes, prefer, limits, already=gone, practice=practice, whole=back.graph
    )
    grown, _ = with_seals(back, [op.name for op in refit.operations], present.back, present.skipped)
    return Homeward(refit, grown, stranded, disproved)


def _known(back: WayBack, former: Sequence[str], changes: Changes) -> tuple[str, ...] | None:
    """The former order of a way back with what is new in it, read backwards; None where it is no order."""
    needed = {name for goal in back.goals for name in goal.any_of}
    chosen = needed | {name for name in former if name in back.graph.operations}
    return near_former_order(back.graph, chosen, list(reversed(former)), changes)


def as_planned(
    machine: Machine,
    targets: Sequence[Target],
    present: Present,
    order: Sequence[str],
    prefer: Prefer = Prefer.TIME,
) -> Homeward:
    """The rest of a way back that has been planned: ``order`` is what is left of it.

    Nothing is solved, so this is quick; and nothing is proven of what is left.
    """
    bare, teardown, disproved = backwards(machine, targets, present)
    back, holds = with_seals(bare, order, present.back, present.skipped)
    left = tuple(name for name in order if name in back.graph.operations)
    steps = replay(back.graph, left, present.changes(machine, back.drives))
    rest = replace(back, graph=back.graph.restricted(left))
    gone = (*present.back, *present.skipped)
    refit = refit_of(teardown, rest, steps, holds, prefer, None, gone, present.skipped)
    return Homeward(refit, back, (), disproved)


def renumbered(refit: Refit, numbers: Mapping[str, int], after: int) -> Refit:
    """The same steps under the numbers that the person knows, by operation; its gates and holds too.

    ``after`` is the highest number that the job had before its way back.
    """
    new = {step.number: numbers[step.operation.name] for step in refit.steps}
    return replace(
        refit,
        numbered_after=after,
        steps=tuple(replace(step, number=new[step.number]) for step in refit.steps),
        gates=tuple(
            replace(
                gate,
                step=new[gate.step],
                first_step=new.get(gate.first_step, new[gate.step]),
                last_step=None if gate.last_step is None else new[gate.last_step],
            )
            for gate in refit.gates
        ),
        holds=tuple(
            replace(
                hold,
                seal_step=new.get(hold.seal_step, 0),
                after_step=new.get(hold.after_step, 0),
                before_step=None if hold.before_step is None else new[hold.before_step],
            )
            for hold in refit.holds
        ),
    )
