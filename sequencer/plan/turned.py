"""The way back from what was really done, and from anywhere on the way back.

A teardown does not always go by its plan: a joint was undone that need only have been slackened, a part came
off before what the file has in front of it, something was found later. The way back is built from what was
done, not from what should have been. What the machine file says and the teardown has disproved asks for
nothing, and is told.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from sequencer.engine.problem import Limits
from sequencer.graph import Target, derive
from sequencer.graph.operations import Because, Clause, Kind, Operation, OperationGraph, Reason
from sequencer.graph.reach import possible
from sequencer.graph.reverse import WayBack, way_back
from sequencer.machine.model import Machine
from sequencer.plan.plan import Refit, Teardown, Totals
from sequencer.plan.prefer import Prefer
from sequencer.plan.present import Direction, Present
from sequencer.plan.refit import gates_of, ordered
from sequencer.plan.replay import replay, rules_as_clauses
from sequencer.plan.sealing import with_seals

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
        back: The whole reversed graph, with the steps that are done already.
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
) -> Homeward:
    """Order what is left of the reassembly from the present state, gates included."""
    back, teardown, disproved = backwards(machine, targets, present)
    gone = {*present.back, *present.skipped}
    left = [name for name in back.graph.operations if name not in gone]
    rest = back.graph.restricted(left)
    able = possible(rest.needs)
    stranded = tuple(
        Stranded(name, _lost(back.graph, rest, name))
        for name in left
        if name not in able and _required(back, name)
    )
    remaining = replace(
        back,
        graph=rest.restricted(able),
        goals=tuple(
            kept
            for goal in back.goals
            if (kept := Clause(tuple(n for n in goal.any_of if n in able), goal.reason)).any_of
        ),
    )
    changes = present.changes(machine, back.drives)
    refit = ordered(teardown, remaining, changes, prefer, limits, already=gone)
    return Homeward(refit, back, stranded, disproved)


def as_planned(
    machine: Machine, targets: Sequence[Target], present: Present, order: Sequence[str]
) -> Homeward:
    """The rest of a way back that has been planned: ``order`` is what is left of it.

    Nothing is solved, so this is quick; and nothing is proven of what is left.
    """
    back, teardown, disproved = backwards(machine, targets, present)
    grown, holds = with_seals(back.graph, order, present.back)
    left = tuple(name for name in order if name in grown.operations)
    steps = replay(grown, left, present.changes(machine, back.drives))
    totals = Totals.of(steps)
    rest = replace(back, graph=back.graph.restricted(n for n in left if n in back.graph.operations))
    refit = Refit(
        machine=machine,
        targets=tuple(targets),
        prefer=Prefer.TIME,
        steps=steps,
        totals=totals,
        bound_seconds=totals.seconds if not steps else Fraction(0),
        bound_count=0,
        proven=not steps,
        teardown=teardown,
        gates=gates_of(rest, left),
        unreachable_fills=back.unreachable_fills,
        holds=holds,
    )
    return Homeward(refit, back, (), disproved)


def backwards(
    machine: Machine, targets: Sequence[Target], present: Present
) -> tuple[WayBack, Teardown, tuple[Reason, ...]]:
    """The reversed graph of what was really done, that teardown, and what of the file it has disproved."""
    whole = derive(machine)
    done = [name for name in dict.fromkeys(present.done) if name in whole.operations]
    graph, disproved = _really(whole, done)
    graph, owed = _with_owed(whole, graph, present.owed)
    steps = replay(whole, done, present.changes(machine))
    teardown = Teardown(
        machine=machine,
        targets=tuple(targets),
        prefer=Prefer.TIME,
        steps=steps,
        totals=Totals.of(steps),
        bound_seconds=Totals.of(steps).seconds,
        bound_count=0,
        proven=False,
        graph=graph,
        top_to_bottom=Totals.of(steps),
    )
    return way_back(graph, (*done, *owed)), teardown, disproved


def _really(whole: OperationGraph, done: Sequence[str]) -> tuple[OperationGraph, tuple[Reason, ...]]:
    """The graph of what was done, its needs such that the order in which it was done is an order of it.

    What was asked for and not done at all, or too late, is disproved. Where something was done too late, the
    need is kept all the same if that closes no circle: on the way back it is the better order.
    """
    place = {name: number for number, name in enumerate(done)}
    instead = {s.slacken: s.undo for s in whole.slackenings if s.slacken not in place and s.undo in place}
    needs: dict[str, list[Clause]] = {}
    late: list[tuple[str, Clause]] = []
    disproved: list[Reason] = []
    for name in whole.operations:
        if name not in place:
            continue
        needs[name] = []
        for clause in whole.needs[name]:
            members = (instead.get(n, n) for n in clause.any_of)
            met = Clause(tuple(dict.fromkeys(n for n in members if n in place)), clause.reason)
            if any(place[n] < place[name] for n in met.any_of):
                needs[name].append(met)
                continue
            disproved.append(clause.reason)
            if met.any_of:
                late.append((name, met))
        late += [(name, clause) for clause in _still_wet(whole, place, name)]
    kept = whole.restricted(needs)
    orders = tuple(rule for rule in kept.orders if place[rule.before] < place[rule.after])
    kept = replace(kept, needs={n: tuple(c) for n, c in needs.items()}, orders=orders)
    for name, clause in late:
        stricter = replace(kept, needs={**kept.needs, name: (*kept.needs[name], clause)})
        if len(possible(stricter.needs, rules_as_clauses(stricter))) == len(needs):
            kept = stricter
    return kept, tuple(dict.fromkeys(disproved))


def _still_wet(whole: OperationGraph, done: Collection[str], name: str) -> tuple[Clause, ...]:
    """The fluids that wait for a joint that was cracked, undone, and fastened again without its torque."""
    operation = whole.operations[name]
    undo = f"{Kind.UNDO.value} {operation.subject}"
    if operation.kind is not Kind.CRACK or undo in done:
        return ()
    return tuple(
        clause
        for clause in whole.needs[undo]
        if clause.reason.kind is Because.WET and clause.any_of[0] in done
    )


def _with_owed(
    whole: OperationGraph, graph: OperationGraph, owed: Collection[str]
) -> tuple[OperationGraph, tuple[str, ...]]:
    """The graph with joints that lack only their torque: on the way back they are as if they were cracked."""
    found: dict[str, Operation] = {}
    needs: dict[str, tuple[Clause, ...]] = {}
    for path in owed:
        undo = whole.operations.get(f"{Kind.UNDO.value} {path}")
        touched = (f"{kind.value} {path}" for kind in (Kind.UNDO, Kind.SLACKEN, Kind.CRACK))
        if undo is None or any(name in graph.operations for name in touched):
            continue
        crack = replace(undo, kind=Kind.CRACK)
        found[crack.name] = crack
        waits = whole.needs[undo.name]
        kept = (Clause(tuple(n for n in c.any_of if n in graph.operations), c.reason) for c in waits)
        needs[crack.name] = tuple(clause for clause in kept if clause.any_of)
    grown = replace(graph, operations={**graph.operations, **found}, needs={**graph.needs, **needs})
    return grown, tuple(found)


def _required(back: WayBack, name: str) -> bool:
    return any(name in goal.any_of for goal in back.goals)


def _lost(back: OperationGraph, rest: OperationGraph, name: str) -> Reason:
    """Why an operation of the way back can't be done any more."""
    able = possible(rest.needs)
    for clause in back.needs[name]:
        if able.isdisjoint(clause.any_of):
            return clause.reason
    raise AssertionError("what is stranded lacks something")


def why_not_back(back: WayBack, present: Present, name: str) -> tuple[Reason, ...]:
    """Why the step ``name`` of the way back can't be done now; empty when it can.

    A step waits for what comes before it, and it must not close off what is still to be done: an open gate
    first of all.
    """
    graph = back.graph
    gone = {*present.back, *present.skipped}
    operation = graph.operations.get(name)
    if operation is None:
        return ()
    if name in gone:
        return (Reason(Because.STATE, f"{name} is done already", operation.place),)
    left = {n for n in graph.operations if n not in gone}
    rest = graph.restricted(left)
    able = possible(rest.needs)
    if name not in able:
        return (_lost(graph, rest, name),)
    first = [
        rule.reason
        for rule in graph.orders
        if rule.before == name and rule.after in able and _required(back, rule.after)
    ]
    return tuple(dict.fromkeys((*first, *closed_off(back, rest, able, name).values())))


def closed_off(back: WayBack, rest: OperationGraph, able: Collection[str], name: str) -> Mapping[str, Reason]:
    """What the step ``name`` would put out of reach, of all that is still to be done and can be now."""
    after = possible(rest.restricted(n for n in rest.operations if n != name).needs)
    found: dict[str, Reason] = {}
    for other in rest.operations:
        if other == name or other in after or other not in able or not _required(back, other):
            continue
        clause = next(c for c in rest.needs[other] if after.isdisjoint(c.any_of))
        what = (
            f"the open gate of {back.gates[other].path}" if other in back.gates else f"{other}, still to do"
        )
        text = f"{name} would close off {what}: {clause.reason.text}"
        found[other] = replace(clause.reason, text=text)
    return found


def possible_back(back: WayBack, present: Present) -> tuple[str, ...]:
    """The steps of the way back that can be done next."""
    return tuple(name for name in back.graph.operations if not why_not_back(back, present, name))


def apart_again(back: WayBack, present: Present) -> Present:
    """The state for taking apart once more in the middle of the way back.

    What was put back is no longer done; what was fastened without its torque stays owed.
    """
    gone = set(present.back)
    open_gates = (
        joint.path
        for gate, joint in back.gates.items()
        if gate not in gone
        and any(f"{kind.value} {joint.path}" in gone for kind in (Kind.FASTEN, Kind.TIGHTEN))
    )
    return replace(
        present,
        done=tuple(name for name in present.done if not _put_back(back, gone, name)),
        back=(),
        owed=tuple(dict.fromkeys((*(j for j in present.owed if f"torque {j}" not in gone), *open_gates))),
        direction=Direction.APART,
    )


_ANSWERS = {
    "remove": ("fit",),
    "move-aside": ("move-back", "fit"),
    "loosen": ("seat", "move-back", "fit"),
    "undo": ("fasten",),
    "slacken": ("tighten", "fasten"),
    "crack": ("torque", "retighten"),
    "drain": ("fill",),
    "task": ("restore",),
}
"""What puts each back: its own answer, or a later one where its own is not called for."""


def _put_back(back: WayBack, gone: Collection[str], name: str) -> bool:
    kind, _, subject = name.partition(" ")
    own, *later = (f"{word} {subject}" for word in _ANSWERS[kind])
    if own in gone or (kind == "crack" and later[0] in gone):
        return True
    if kind == "loosen" and any(f"fasten {path}" not in gone for path in _still_undone(back, subject)):
        return False  # it is in its place and stays loose until what holds it there is fastened
    return not _required(back, own) and any(other in gone for other in later)


def _still_undone(back: WayBack, part: str) -> list[str]:
    """The joints that keep a part from being loose, as far as the teardown has undone them."""
    loose = back.graph.machine.parts[part].loose
    paths = [f"{part}/{name}" for name in loose.joints] if loose else []
    return [path for path in paths if f"fasten {path}" in back.graph.operations]


def renumbered(refit: Refit, numbers: Mapping[str, int]) -> Refit:
    """The same steps under the numbers that the person knows, by operation; its gates and holds too."""
    new = {step.number: numbers[step.operation.name] for step in refit.steps}
    return replace(
        refit,
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
                after_step=new.get(hold.after_step, 0),
                before_step=None if hold.before_step is None else new[hold.before_step],
            )
            for hold in refit.holds
        ),
    )
