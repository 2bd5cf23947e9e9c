"""How a job stands: how far, how long still, what is open, what is out, what to mind before you leave."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from sequencer.graph.operations import Kind, Op, subjects
from sequencer.job.journal.events import EventKind
from sequencer.job.journal.state import Tick
from sequencer.job.learning.timed import FARTHEST, known_of, timed
from sequencer.job.now.bags import Bag
from sequencer.job.now.gates import gate_of
from sequencer.job.now.moment import Moment
from sequencer.job.reports.record import OPEN, torque_record
from sequencer.job.work.curing import Cure, cures
from sequencer.job.work.figure_open import open_figures
from sequencer.plan.hazards.stops import Leavable, Loose, Stop, Verdict, stops
from sequencer.plan.hours.hours import Hours, reaching
from sequencer.plan.order.replay import replay
from sequencer.plan.order.setups import Changes
from sequencer.plan.plan import Refit
from sequencer.plan.practice.held import TASKS

ENOUGH_SECONDS = 300
"""Planned seconds of a person's own ticks before a pace is told from them."""


@dataclass(frozen=True)
class PaceSoFar:
    """How a person's times compare with the plan's: ``factor`` 1.2 is a fifth slower."""

    person: str
    factor: float
    steps: int


@dataclass(frozen=True)
class Leaving(Leavable):
    """In what state the machine is if work stops now.

    Attributes:
        loose: What is in a state of its own; those that are ``unsafe`` should not be walked away from.
        better: The number of the next step after which nothing is known against leaving the machine, or,
            where there is none ahead, of the one after which least is left to mind; None: it is best to leave
            it now.
        seconds: Planned time until then; ``likely``: what that really takes, by what was taken so far.
        then: Whether the machine may be left after that step.
    """

    loose: tuple[Loose, ...]
    better: int | None = None
    seconds: float = 0.0
    likely: float = 0.0
    then: Verdict | None = None


@dataclass(frozen=True)
class JobStatus:
    """A job at a glance.

    Attributes:
        planned_seconds: What is left, by the plan's own times.
        hours: How long that really takes, by what this person has taken so far; None: nothing is left.
        worked_seconds: With the clock running, up to the last event.
        gates: Joints of the reassembly that still lack their torque.
        figures: Joints of which nobody has said the torque so far: the way back asks for it.
        bags: What went into which bag.
        fluids: Fluids that are drained and not filled, less what is waste.
        openings: Joints that stand open to a drained fluid's system, and parts that are off it.
        off: Parts that are off; ``moved`` those that are only loose or aside.
        unread: Events in the journal that this program can't make sense of, and leaves out.
        cures: Sealants that are on, each with when it has cured and what did not wait for it.
    """

    title: str
    done: int
    skipped: tuple[Tick, ...]
    steps: int
    planned_seconds: float
    hours: Hours | None
    pace: PaceSoFar | None
    worked_seconds: float
    running: bool
    started: bool
    turned: bool
    gates: tuple[str, ...]
    figures: tuple[str, ...]
    bags: tuple[Bag, ...]
    fluids: tuple[str, ...]
    openings: tuple[str, ...]
    off: tuple[str, ...]
    moved: tuple[str, ...]
    anyway: tuple[Tick, ...]
    cures: tuple[Cure, ...]
    leaving: Leaving
    unread: int


def status(moment: Moment, person: str = "") -> JobStatus:
    """How the job stands at ``moment``; what is left is told at ``person``'s pace."""
    state, plan = moment.state, moment.plan
    left = float(plan.totals.seconds)
    done = [op for op in state.ticks if op in {name for _, name in state.steps}]
    return JobStatus(
        title=moment.card.title,
        done=len(done),
        skipped=tuple(state.skipped.values()),
        steps=len(state.steps),
        planned_seconds=left,
        hours=hours_left(moment, person),
        pace=pace_of(moment, person),
        worked_seconds=state.worked,
        running=state.running is not None,
        started=state.started,
        turned=state.turned,
        gates=tuple(_open_gates(moment)),
        figures=tuple(joint.path for joint in open_figures(moment)),
        bags=tuple(_bags(moment)),
        fluids=tuple(_fluids_out(moment)),
        openings=tuple(_openings(moment)),
        off=tuple(_in_state(moment, Kind.REMOVE)),
        moved=tuple(_in_state(moment, Kind.MOVE_ASIDE, Kind.LOOSEN)),
        anyway=tuple(tick for tick in state.ticks.values() if tick.anyway),
        cures=cures(moment),
        leaving=leaving(moment, person),
        unread=len(state.of(EventKind.UNKNOWN)),
    )


def _open_gates(moment: Moment) -> Iterator[str]:
    """The gates still to come, and those that are ticked while the file asks for more by now."""
    if isinstance(moment.plan, Refit):
        yield from (gate.joint for gate in moment.plan.gates)
    for entry in torque_record(moment):
        if (
            entry.state == OPEN
            and not entry.again
            and gate_of(moment.machine, entry.joint) in moment.state.ticks
        ):
            yield entry.joint


def pace_of(moment: Moment, person: str) -> PaceSoFar | None:
    """The person's own pace on this job: time taken over time planned, over what they ticked themselves."""
    near = [one for one in timed(moment, person) if one.taken <= one.planned * FARTHEST]
    planned = sum(one.planned for one in near)
    if planned < ENOUGH_SECONDS:
        return None
    return PaceSoFar(person, sum(one.taken for one in near) / planned, sum(one.ticked for one in near))


def hours_left(moment: Moment, person: str) -> Hours | None:
    """How long what is left really takes, by what this person has taken so far; None: nothing is left.

    Every page and command that says how long a job still takes asks here.
    """
    if not moment.plan.totals.seconds:
        return None
    if person not in moment.judged:
        moment.judged[person] = moment.plan.hours_with(known_of(moment, person))
    return moment.judged[person]


def leaving(moment: Moment, person: str) -> Leaving:
    """What to mind if work stops now, and the next step after which it may safely stop."""
    here, later = stops_ahead(moment)
    best = _better(here, later) if here.verdict is Verdict.UNSAFE else None
    if best is None:
        return Leaving(here.loose)
    until = moment.plan.steps[: best + 1]
    seconds = sum(float(step.seconds + step.change_seconds) for step in until)
    likely = likely_until(moment, person, best + 1)
    return Leaving(here.loose, until[-1].number, seconds, likely, later[best].verdict)


def likely_until(moment: Moment, person: str, ahead: int) -> float:
    """How long so many of the steps that are left really take, in seconds, by what was taken so far."""
    plan = moment.plan
    return reaching(moment.machine, plan.steps[:ahead], 0.0, known_of(moment, person), plan.earlier)[-1][1]


def stops_ahead(moment: Moment) -> tuple[Stop, Sequence[Stop]]:
    """The state of the machine as it is, and after each step that is left."""
    plan, operations = moment.plan, moment.whole.operations
    skipped = [op for op in moment.state.skipped if op in operations and operations[op].kind not in TASKS]
    if isinstance(plan, Refit):
        left, back = _given_up(moment), moment.home.back.graph.operations
        apart = [operations[op] for op in skipped if op in left]
        # A task that is skipped is not set up, or not put away.
        apart += [back[op] for op in moment.state.skipped if op in back and back[op].kind in TASKS]
        whole = [operations[op] for op in left if op in operations and op not in moment.state.skipped]
        whole += [back[op] for op in moment.present.back if op in back]
        ahead = stops(plan, apart, whole)
        return ahead[0], ahead[1:]
    gone = [op for op in (*skipped, *moment.state.done) if op in operations]
    before = replay(moment.whole, gone, Changes.of(moment.machine))
    found = stops(replace(plan, steps=(*before, *plan.steps)))
    return found[len(before)], found[len(before) + 1 :]


def _given_up(moment: Moment) -> list[str]:
    """The steps of the way in that were left when the job turned: the turn alone makes nothing safe."""
    turns = moment.state.of(EventKind.TURNED)
    plans = [*moment.state.of(EventKind.CHANGED), *turns]
    before = max((one for one in plans if one.seq < turns[-1].seq), key=lambda one: one.seq, default=None)
    steps = before.event.body.get("steps", ()) if before is not None else ()
    return [str(op) for _, op in steps if op not in moment.state.done]


def _better(here: Stop, later: Sequence[Stop]) -> int | None:
    """The first of ``later`` that nothing is known against; else the lightest, if lighter than ``here``."""
    first = next((place for place, stop in enumerate(later) if stop.verdict is not Verdict.UNSAFE), None)
    if first is not None:
        return first
    open_ones = [place for place, stop in enumerate(later) if not stop.forbidden]
    lightest = min(open_ones, key=lambda place: (later[place].weight, place), default=None)
    if lightest is None or (later[lightest].weight >= here.weight and not here.forbidden):
        return None
    return lightest


def _cleared(moment: Moment) -> tuple[Op, ...]:
    """What is done on the way in and not put back yet."""
    back = {op.subject for op in moment.state.back}
    return tuple(op for op in moment.state.done if op.subject not in back)


def _fluids_out(moment: Moment) -> Iterator[str]:
    drained = (op.subject for op in _cleared(moment) if op.kind is Kind.DRAIN and not op.again)
    known = moment.machine.fluids
    return (fluid for fluid in drained if fluid not in known or known[fluid].fill is not None)


def _openings(moment: Moment) -> Iterator[str]:
    """Joints that are undone where a fluid was: what dirt gets into; once a part is off, the part."""
    off = {*_in_state(moment, Kind.REMOVE)}
    found: dict[str, None] = {}
    for op in _cleared(moment):
        operation = moment.whole.operations.get(op)
        if operation is None or operation.part is None or operation.joint is None:
            continue
        part = moment.machine.parts[operation.part]
        joint = part.joints[operation.joint]
        if operation.kind is Kind.UNDO and part.spills(joint):
            found[part.name if part.name in off else joint.path] = None
    yield from found


def _bags(moment: Moment) -> Iterator[Bag]:
    """The bags that have something in them."""
    for op in _cleared(moment):
        bag = moment.bags.get(op.subject if op.kind is Kind.UNDO else op)
        if bag is not None:
            yield bag


def _in_state(moment: Moment, *kinds: Kind) -> Iterator[str]:
    """Parts that were brought so far, and no farther."""
    cleared = _cleared(moment)
    off = subjects(cleared, Kind.REMOVE)
    for op in cleared:
        if op.kind in kinds and (Kind.REMOVE in kinds or op.subject not in off):
            yield op.subject
