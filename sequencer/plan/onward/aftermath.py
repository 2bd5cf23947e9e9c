"""What a teardown has really done, turned round: the reversed graph of that, not of what was planned.

A teardown does not always go by its plan: a joint was undone that need only have been slackened, a part came
off before what the file has in front of it, something was found later. What the machine file says and the
teardown has disproved asks for nothing on the way back, and is told.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from sequencer.graph import Target, derive
from sequencer.graph.explain import rules_as_clauses
from sequencer.graph.kept import without_kept_order
from sequencer.graph.operations import Because, Clause, Kind, Operation, OperationGraph, Reason
from sequencer.graph.reach import possible
from sequencer.graph.reverse import WayBack, way_back
from sequencer.graph.serving import begun_with_putting_away
from sequencer.machine.model import Machine
from sequencer.plan.onward.present import Present
from sequencer.plan.order.replay import teardown_of
from sequencer.plan.plan import Teardown


def backwards(
    machine: Machine, targets: Sequence[Target], present: Present
) -> tuple[WayBack, Teardown, tuple[Reason, ...]]:
    """The reversed graph of what was really done, that teardown, and what of the file it has disproved."""
    known = without_kept_order(derive(machine))
    whole, _ = begun_with_putting_away(known, present.done, ())
    done = [name for name in dict.fromkeys(present.done) if name in whole.operations]
    graph, disproved = _really(whole, done)
    graph, owed = _with_owed(whole, graph, present.owed)
    as_done = teardown_of(whole, targets, done, present.changes(machine), opens=False)
    teardown = replace(as_done, graph=graph)
    return way_back(graph, (*done, *owed), done), teardown, disproved


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
    undo = Kind.UNDO.of(operation.subject)
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
        undo = whole.operations.get(Kind.UNDO.of(path))
        touched = (kind.of(path) for kind in (Kind.UNDO, Kind.SLACKEN, Kind.CRACK))
        if undo is None or any(name in graph.operations for name in touched):
            continue
        crack = replace(undo, kind=Kind.CRACK)
        found[crack.name] = crack
        waits = whole.needs[undo.name]
        kept = (Clause(tuple(n for n in c.any_of if n in graph.operations), c.reason) for c in waits)
        needs[crack.name] = tuple(clause for clause in kept if clause.any_of)
    grown = replace(graph, operations={**graph.operations, **found}, needs={**graph.needs, **needs})
    return grown, tuple(found)
