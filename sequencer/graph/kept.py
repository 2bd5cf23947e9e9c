"""The order in which a machine came apart: what nobody gave a reason for is kept.

Of two things in ``taken_apart`` of which nothing is known but that one came off first, the later waits for
the earlier, as if it were behind it: all work on it, for the earlier one to be clear. On the way back it is
the same in reversed time. A kept order is the weakest there is. It asks for nothing that the rest of the file
does not allow: where the two are at odds, what the file says holds.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from heapq import heapify, heappop, heappush
from math import comb

from sequencer.graph.kept_things import Thing, clearing_of, in_words, owner, things, unexplained
from sequencer.graph.operations import Because, Clause, Kind, Op, OperationGraph, OrderRule, Reason
from sequencer.graph.reach import possible
from sequencer.machine.facts.taken import TakenApart, Told

_NOT_ON_PARTS = {Kind.TASK, Kind.RESTORE, Kind.DRAIN, Kind.FILL}

Needs = Mapping[str, Sequence[Clause]]


def with_kept_order(graph: OperationGraph) -> OperationGraph:
    """The graph of a way in, with what is waited for because it came off first."""
    if not graph.machine.taken_apart.order:
        return graph
    return replace(graph, needs=_kept(graph, things(graph), unexplained(graph.machine)))


def without_kept_order(graph: OperationGraph) -> OperationGraph:
    """The graph with what is known alone."""
    if not graph.machine.taken_apart.order:
        return graph
    return replace(graph, needs={name: _known(clauses) for name, clauses in graph.needs.items()})


def kept_on_the_way_back(
    graph: OperationGraph,
    answers: Mapping[str, str],
    as_done: Sequence[str] = (),
    wishes: Sequence[OrderRule] = (),
) -> tuple[OperationGraph, tuple[str, ...]]:
    """The reversed graph with the kept order, and the operations at which that gives way to ``wishes``.

    Args:
        graph: What is known.
        answers: The step that answers each of the way in.
        as_done: The order of this time: of two things that came off the other way round neither waits.
        wishes: Orders of good practice that the file speaks of: they go before one that is only kept.
    """
    taken = graph.machine.taken_apart
    if not taken.order:
        return graph, ()
    pairs = unexplained(graph.machine, back=True)
    found = [_turned(graph, thing, answers) for thing in things(graph, pairs)]
    if as_done:
        pairs = [pair for pair in pairs if not _the_other_way(graph, taken, pair, as_done)]
    needs = {name: _known(clauses) for name, clauses in graph.needs.items()}
    kept, _ = _waits(graph, needs, found, pairs, wishes)
    all_of_it = _waits(graph, needs, found, pairs)[0] if wishes else kept
    yielded = tuple(name for name in needs if kept[name] < all_of_it[name])
    return replace(graph, needs=_kept(graph, found, pairs, wishes)), yielded


@dataclass(frozen=True)
class OrderKnown:
    """Pairs of things that a job does of which more is known than which came off first; and all pairs."""

    known: int
    pairs: int


def how_known(graph: OperationGraph, done: Collection[str]) -> OrderKnown | None:
    """How much of the order of a job that does ``done`` is known; None where nothing of it is kept.

    ``graph`` is that of the way in.
    """
    found = things(graph)
    there = [n for n, thing in enumerate(found) if not set(done).isdisjoint(thing.touching)]
    count = sum(i in there and j in there for i, j in kept_pairs(graph))
    owners = Counter(owner(found[n].told) for n in there)
    pairs = comb(len(there), 2) - sum(comb(number, 2) for number in owners.values())
    return OrderKnown(pairs - count, pairs) if count else None


def kept_pairs(graph: OperationGraph) -> set[tuple[int, int]]:
    """The places in the order of each two things the later of which waits for the earlier, nobody knows why.

    ``graph`` is that of the way in.
    """
    found = things(graph)
    needs = {name: _known(clauses) for name, clauses in graph.needs.items()}
    asked = unexplained(graph.machine)
    kept, _ = _waits(graph, needs, found, asked)
    return {(i, j) for i, j in asked if any(i in kept[name] for name in found[j].touching)}


def kept_before(graph: OperationGraph, part: str, joint: str | None) -> list[Clause]:
    """What work on a part, or on one of its joints, waits for because it came off first."""
    names = (n for n in graph.touching[part] if joint is None or graph.operations[n].joint == joint)
    kept = (c for name in names for c in graph.needs[name] if c.reason.kind is Because.KEPT)
    return list({clause.any_of: clause for clause in kept}.values())


def kept_by_a_part(graph: OperationGraph, clause: Clause) -> bool:
    """Whether a part is waited for because it came off first: for all that is known it is in the way."""
    return clause.reason.kind is Because.KEPT and graph.operations[clause.any_of[0]].part is not None


def _turned(graph: OperationGraph, thing: Thing, answers: Mapping[str, str]) -> Thing:
    """The same thing on the way back."""
    clear = (answers[name] for name in thing.clear if name in answers)
    return replace(thing, clear=tuple(name for name in clear if name in graph.operations))


def _the_other_way(
    graph: OperationGraph, taken: TakenApart, pair: tuple[int, int], as_done: Sequence[str]
) -> bool:
    """Whether the second of a pair was clear before the first this time; what is guessed proves nothing."""
    first, second = (taken.order[number] for number in pair)
    if first in taken.guessed or second in taken.guessed:
        return False
    place = {name: number for number, name in enumerate(as_done)}
    one, other = ([place[n] for n in clearing_of(graph, t) if n in place] for t in (first, second))
    return bool(one and other) and min(other) < min(one)


# ---- What is waited for ----


def _known(clauses: Iterable[Clause]) -> tuple[Clause, ...]:
    return tuple(clause for clause in clauses if clause.reason.kind is not Because.KEPT)


def _kept(
    graph: OperationGraph,
    found: Sequence[Thing],
    pairs: Iterable[tuple[int, int]],
    wishes: Sequence[OrderRule] = (),
) -> dict[str, tuple[Clause, ...]]:
    """The needs of the graph with those of the kept order; what follows from others is left out."""
    needs = {name: _known(clauses) for name, clauses in graph.needs.items()}
    kept, known = _waits(graph, needs, found, pairs, wishes)
    waits = {name: kept[name] | known[name] for name in needs}
    for name, clauses in needs.items():
        left = kept[name] - _implied(name, clauses, waits, found)
        more = (Clause(found[i].clear, _reason(found[i].told)) for i in sorted(left))
        needs[name] = (*clauses, *more)
    return needs


def _waits(
    graph: OperationGraph,
    needs: Needs,
    found: Sequence[Thing],
    pairs: Iterable[tuple[int, int]],
    wishes: Sequence[OrderRule] = (),
) -> tuple[dict[str, set[int]], dict[str, set[int]]]:
    """For each operation the things that it waits for: by the kept order alone, and by what is known."""
    place = _walked(graph, needs, found, wishes)
    known = _known_to_wait(needs, found)
    kept: dict[str, set[int]] = {name: set() for name in needs}
    for i, j in pairs:
        for name in found[j].touching:
            first = min((place[c] for c in found[i].clear if c in place), default=len(place))
            if first < place.get(name, 0) and i not in known[name]:
                kept[name].add(i)
    return kept, known


def _reason(told: Told) -> Reason:
    """One for all that waits for a thing, so that it is said once."""
    return Reason(Because.KEPT, f"{in_words(told)} first, and nobody said why", told.place)


def _walked(
    graph: OperationGraph, needs: Needs, found: Sequence[Thing], wishes: Sequence[OrderRule]
) -> dict[str, int]:
    """The place of each operation when all is done as it came off, as near as what is known allows.

    What belongs to no thing of the order is done as soon as it can be.
    """
    rank = {name: number for number, thing in enumerate(found) for name in thing.touching}
    place: dict[str, int] = {}
    for rules in ((*graph.orders, *wishes), graph.orders, ()):  # what the orders never let happen, without
        extra: dict[str, list[Clause]] = {}
        for rule in rules:
            extra.setdefault(rule.after, []).append(Clause((rule.before,), rule.reason))
        _go_on({n: (*c, *extra.get(n, ())) for n, c in needs.items()}, rank, place)
    return place


def _go_on(needs: Needs, rank: Mapping[str, int], place: dict[str, int]) -> None:
    """Do all that can be done beyond what has a place, the lowest rank first."""
    asking: dict[str, list[tuple[str, int]]] = {}
    open_: dict[str, set[int]] = {}
    number = {name: n for n, name in enumerate(needs)}
    for name, clauses in needs.items():
        if name not in place:
            open_[name] = {n for n, clause in enumerate(clauses) if place.keys().isdisjoint(clause.any_of)}
            for n in open_[name]:
                for other in clauses[n].any_of:
                    asking.setdefault(other, []).append((name, n))
    free = [(rank.get(name, -1), number[name], name) for name, waits in open_.items() if not waits]
    heapify(free)
    while free:
        _, _, done = heappop(free)
        place[done] = len(place)
        for name, n in asking.get(done, ()):
            if n in open_[name]:
                open_[name].discard(n)
                if not open_[name]:
                    heappush(free, (rank.get(name, -1), number[name], name))


def _known_to_wait(needs: Needs, found: Sequence[Thing]) -> dict[str, set[int]]:
    """For each operation the things that have to be clear before it by what is known alone."""
    waits: dict[str, set[int]] = {name: set() for name in needs}
    able = possible(needs)
    for number, thing in enumerate(found):
        without = {name: clauses for name, clauses in needs.items() if name not in thing.clear}
        for name in able.difference(possible(without)).difference(thing.clear):
            waits[name].add(number)
    return waits


def _implied(
    name: str, clauses: Iterable[Clause], waits: Mapping[str, set[int]], found: Sequence[Thing]
) -> set[int]:
    """What some work on a part that the operation waits for has waited for."""
    groups = (*(found[between].clear for between in waits[name]), *(clause.any_of for clause in clauses))
    on_parts = (any_of for any_of in groups if not {Op(n).kind for n in any_of} & _NOT_ON_PARTS)
    through: set[int] = set()
    for any_of in on_parts:
        before = [waits.get(one, set()) for one in any_of]
        through |= set.intersection(*before) if before else set()
    return through
