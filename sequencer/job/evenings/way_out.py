"""The quickest way to a state in which a machine may be left: on to the next place, or some of it put back.

On is the shortest beginning of what is left after which it may be left. Back is the least work that puts
back enough of what was done: whatever is not safe (a part half out, a load held up, a system half open, a wet
bead) is so by what was done to it, so that one act of those has to be reversed; which, is searched for by
their time (uniform-cost search, Dijkstra), with all that rests on what is reversed.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction

from sequencer.graph.carrying import load
from sequencer.graph.fastening import BACK, together
from sequencer.graph.operations import Kind, Op, Operation
from sequencer.graph.serving import putting_away
from sequencer.job.learning.timed import known_of
from sequencer.job.now.gates import gate_joint
from sequencer.job.now.moment import Moment
from sequencer.job.reports.status import likely_until, stops_ahead
from sequencer.job.work.curing import curing, waits
from sequencer.job.work.undoing import rests_on
from sequencer.machine.model import Machine
from sequencer.plan.hazards.stops import HALF_OPEN, Left, Loose, Verdict, left_so, wets
from sequencer.plan.order.setups import Setup

MOST_ACTS = 12
"""Nobody puts back more than so much to go home (common practice)."""

MOST_TRIED = 60
"""States that the search looks at; on the way back each of them is a plan of its own."""


@dataclass(frozen=True)
class WayOut:
    """A way to a state in which the machine may be left.

    Attributes:
        onward: It goes on with the plan; otherwise it takes back what was done.
        ops: The steps to be done, or the ticks to be taken back, by their names.
        acts: What there is to do, in this order.
        planned: Seconds by the file's own times; ``likely``: what that really takes this person.
        verdict: In which state the machine is then.
        single: All of it can be said at one go: no step asks for a reading or a bench list.
    """

    onward: bool
    ops: tuple[str, ...]
    acts: tuple[Operation, ...]
    planned: float
    likely: float
    verdict: Verdict
    single: bool = True


def ways_out(moment: Moment, person: str, now: datetime) -> tuple[WayOut, ...]:
    """The quickest way on and the quickest way back, the quicker first; none where it may be left so."""
    here, later = stops_ahead(moment)
    if here.verdict is not Verdict.UNSAFE:
        return ()
    on = _onward(moment, [stop.verdict for stop in later], now)
    back = _back(moment, here.loose)
    found = []
    if on is not None:
        found.append(replace(on, likely=likely_until(moment, person, len(on.ops))))
    if back is not None:
        found.append(replace(back, likely=back.planned * float(known_of(moment, person).factor())))
    return tuple(sorted(found, key=lambda way: way.likely))


def _onward(moment: Moment, verdicts: Sequence[Verdict], now: datetime) -> WayOut | None:
    """To the first place ahead; None where there is none, or a sealant has to cure before it."""
    ahead = next((n for n, one in enumerate(verdicts, start=1) if one is not Verdict.UNSAFE), None)
    if ahead is None:
        return None
    steps = moment.plan.steps[:ahead]
    ops = tuple(step.operation.name for step in steps)
    wet = curing(moment, now)
    if any(waits(wet, op) for op in ops):
        return None
    lists = moment.bench_lists(ops)
    single = not any(gate_joint(moment, op) or lists.get(op) for op in ops)
    planned = float(sum(step.seconds + step.change_seconds for step in steps))
    acts = tuple(step.operation for step in steps)
    return WayOut(True, ops, acts, planned, planned, verdicts[ahead - 1], single)


# ---- Back ----

_FORWARDS = {back: there for there, back in BACK.items()}
_NO_ACT = frozenset({Kind.TORQUE, Kind.RETIGHTEN})
"""What is simply not so any more once the joint is undone again."""
_LASTING = frozenset({Kind.DRAIN, Kind.FILL, Kind.CLOSE, Kind.CRACK, Kind.LEAK_CHECK})
"""What nobody takes back to go home."""


def _back(moment: Moment, loose: Sequence[Loose]) -> WayOut | None:
    """The least work that takes enough back; None where that is more than anybody would do."""
    known = moment.operations
    done = [op for op in (moment.state.back if moment.state.turned else moment.state.done) if op in known]
    undoing = {op: _reversed(moment.machine, known[op], back=moment.state.turned) for op in done}
    queue: list[tuple[Fraction, int, tuple[Op, ...]]] = []
    seen: set[frozenset[str]] = set()
    gone: tuple[Op, ...] = ()
    while len(seen) < MOST_TRIED:
        first = next(one for one in loose if one.unsafe)
        for op in done:
            if op in gone or not _is_cause(moment.machine, known[op], first):
                continue
            whole = _closed(moment, (*gone, op))
            if whole not in seen and len(whole) <= MOST_ACTS and all(undoing.get(Op(one)) for one in whole):
                seen.add(whole)
                ordered = tuple(one for one in done if one in whole)
                cost = sum((act.seconds for act in _acts(undoing, ordered)), Fraction(0))
                heapq.heappush(queue, (cost, len(seen), ordered))
        if not queue:
            return None
        _, _, gone = heapq.heappop(queue)
        loose = _left_without(moment, gone)
        if (verdict := Verdict.of(loose)) is not Verdict.UNSAFE:
            acts = tuple(_acts(undoing, gone))
            seconds = _seconds(moment, acts)
            return WayOut(False, gone, acts, seconds, seconds, verdict)
    return None


def _acts(undoing: Mapping[Op, Operation | None], gone: Sequence[Op]) -> Iterator[Operation]:
    """What there is to do, the last that was done first."""
    for op in reversed(gone):
        act = undoing[op]
        if act is not None and act.kind not in _NO_ACT:
            yield act


def _closed(moment: Moment, gone: Iterable[str]) -> frozenset[str]:
    """So many ticks, with those that could not have been made without them."""
    whole = frozenset(gone)
    while more := frozenset(rests_on(moment, tuple(whole))) - whole:
        whole |= more
    return whole


def _left_without(moment: Moment, gone: Sequence[str]) -> tuple[Loose, ...]:
    """What is left in a state of its own once so many ticks are taken back."""
    state = moment.state
    if not state.turned:
        whole = moment.whole.operations
        opened = [op for op in (*state.skipped, *state.done) if op in whole and op not in gone]
        closed = (*(op for op in gone if op in whole), *(step.operation.name for step in moment.plan.steps))
        return left_so(moment.machine, [whole[op] for op in opened], [whole[op] for op in closed])
    ticks: Mapping[Op, object] = {op: tick for op, tick in state.ticks.items() if op not in gone}
    less = Moment(moment.card, moment.sight, replace(state, ticks=ticks))  # type: ignore[arg-type]
    return stops_ahead(less)[0].loose


def _reversed(machine: Machine, op: Operation, *, back: bool) -> Operation | None:
    """What takes a step back; None where nobody would."""
    if op.kind in _LASTING or op.again:
        return None
    if op.kind in _NO_ACT or op.kind is Kind.SEAL:
        return op
    if op.kind is Kind.TASK:
        task = machine.tasks.get(op.subject)
        return putting_away(task, op) if task and task.undo else None
    if op.kind in (Kind.UNDO, Kind.SLACKEN) and op.part and op.joint:
        return together(op, machine.joint(op.part, op.joint))
    kind = (_FORWARDS if back else BACK).get(op.kind)
    return replace(op, kind=kind) if kind else None


def _is_cause(machine: Machine, op: Operation, loose: Loose) -> bool:
    """Whether a state that is not safe can be so by what was done there."""
    if loose.left in HALF_OPEN:
        return loose.subject in wets(machine, op)
    if loose.left is Left.SEALANT_WET:
        return op.kind is Kind.SEAL and op.subject == loose.subject
    tasks, parts = set[str](), set[str]()
    if loose.left is Left.HELD_UP:
        tasks, parts = {loose.subject}, load(machine.tasks[loose.subject])
    elif loose.subject in machine.parts:
        part = machine.parts[loose.subject]
        parts = {part.name, *(atom.part for need in part.to_leave for atom in need.any_of)}
        tasks = {task.name for task in machine.tasks.values() if part.name in task.load}
    about = op.subject in tasks if op.kind in (Kind.TASK, Kind.RESTORE) else op.part in parts
    return about and op.kind not in _NO_ACT


def _seconds(moment: Moment, acts: Iterable[Operation]) -> float:
    """What so much takes from where the person stands, with what is in hand."""
    changes, seconds = moment.present.changes(moment.machine), Fraction(0)
    before: Setup | None = None
    for act in acts:
        here = Setup(act.position, act.tool)
        seconds += act.seconds + changes.seconds(before or changes.start(here.position), here)
        before = here
    return float(seconds)
