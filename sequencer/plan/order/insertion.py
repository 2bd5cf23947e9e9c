"""An order that stays as near to a former one as the machine allows, what is new at its cheapest places.

A person who has read a plan has it in mind; what a discovery does not touch stays in its sequence. What
has to leave its place is found first, as little as possible. Then that and all that is new is put between the
rest by dynamic programming over (how far in the former order, which of the others are done, set-up).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm

from sequencer.engine.base.bits import mask_of
from sequencer.graph.operations import OperationGraph
from sequencer.plan.order.setups import Changes, Setup

WIDEST = 400
"""States kept for each length of a partial order. Fewer are needed, and the answer is exact, for up to about
six operations to insert; beyond that the cheapest are kept."""


def near_former_order(
    graph: OperationGraph, chosen: Collection[str], former: Sequence[str], changes: Changes
) -> tuple[str, ...] | None:
    """All of ``chosen`` in an order that works and departs from ``former`` as little as possible.

    None when the operations chosen can't all be done in any order.

    Args:
        graph: What is possible from the present state on.
        chosen: What is to be done.
        former: The former order; what of it is not in ``chosen`` is passed over.
        changes: What changes of set-up cost, from the present one on.
    """
    job = _Job.of(graph, chosen)
    kept = [job.index[name] for name in former if name in job.index]
    free = [number for number in range(len(job.names)) if number not in set(kept)]
    if not job.possible(0, range(len(job.names))):
        return None
    chain = _held_back(job, kept, free)
    if len(chain) < len(kept):  # else nothing has to leave its place
        chain = max(chain, _brought_forward(job, kept, free), key=len)
    order = _inserted(job, chain, [n for n in range(len(job.names)) if n not in set(chain)], changes)
    return None if order is None else tuple(job.names[number] for number in order)


@dataclass(frozen=True)
class _Job:
    """A choice of operations as numbers, each with the sets (bits) of which one comes earlier."""

    names: tuple[str, ...]
    index: Mapping[str, int]
    clauses: tuple[tuple[int, ...], ...]
    setups: tuple[Setup, ...]

    @classmethod
    def of(cls, graph: OperationGraph, chosen: Collection[str]) -> _Job:
        wanted = set(chosen)
        names = tuple(name for name in graph.operations if name in wanted)
        index = {name: number for number, name in enumerate(names)}
        clauses: list[list[int]] = [
            [mask_of(index[n] for n in clause.any_of if n in index) for clause in graph.needs[name]]
            for name in names
        ]
        for rule in graph.orders:
            if rule.before in index and rule.after in index:
                clauses[index[rule.after]].append(1 << index[rule.before])
        operations = [graph.operations[name] for name in names]
        setups = tuple(Setup(op.position, op.tool) for op in operations)
        return cls(names, index, tuple(tuple(dict.fromkeys(own)) for own in clauses), setups)

    def allowed(self, number: int, done: int) -> bool:
        return all(clause & done for clause in self.clauses[number])

    def reached(self, done: int, helpers: Iterable[int]) -> int:
        """What is done when every helper that can be done is done too."""
        waiting = [number for number in helpers if not done >> number & 1]
        while True:
            still = [number for number in waiting if not self.allowed(number, done)]
            if len(still) == len(waiting):
                return done
            done |= mask_of(set(waiting) - set(still))
            waiting = still

    def possible(self, done: int, all_of: Sequence[int]) -> bool:
        wanted = mask_of(all_of)
        return self.reached(done, all_of) & wanted == wanted


def _held_back(job: _Job, kept: Sequence[int], free: Sequence[int]) -> list[int]:
    """What keeps its place when everything that can't come yet is put off."""
    chain: list[int] = []
    helpers = list(free)
    done = 0
    for number in kept:
        reached = job.reached(done, helpers)
        if job.allowed(number, reached):
            chain.append(number)
            done |= 1 << number
        else:
            helpers.append(number)
    return chain


def _brought_forward(job: _Job, kept: Sequence[int], free: Sequence[int]) -> list[int]:
    """What keeps its place when everything that is needed sooner is brought forward."""
    chain: list[int] = []
    loose = list(free)
    for place in range(len(kept) - 1, -1, -1):
        before = [*kept[:place], *loose]
        wanted = mask_of(kept[:place])
        reached = job.reached(0, before)
        if reached & wanted == wanted and job.allowed(kept[place], reached):
            chain.append(kept[place])
        else:
            loose.append(kept[place])
    chain.reverse()
    return chain


State = tuple[int, int, int]
"""How many of the chain are done, which operations are done (bits), the last operation's set-up."""


def _inserted(job: _Job, chain: Sequence[int], others: Sequence[int], changes: Changes) -> list[int] | None:
    """The cheapest order that keeps the chain's sequence and does the others wherever they fit."""
    costs = _Costs(job, changes)
    layers: list[dict[State, tuple[int, State | None, int]]] = [{(0, 0, -1): (0, None, -1)}]
    for _ in job.names:
        layer: dict[State, tuple[int, State | None, int]] = {}
        for state, (cost, _, _) in layers[-1].items():
            for number, place in _next(job, chain, others, state):
                setup = costs.of[number]
                after = (place, state[1] | 1 << number, setup)
                total = cost + costs.change(state[2], setup)
                if after not in layer or total < layer[after][0]:
                    layer[after] = (total, state, number)
        if len(layer) > WIDEST:
            layer = dict(sorted(layer.items(), key=lambda item: (item[1][0], -item[0][0]))[:WIDEST])
        layers.append(layer)
    if not layers[-1]:
        return None
    at: State | None = min(layers[-1], key=lambda last: layers[-1][last][0])
    order: list[int] = []
    for layer in reversed(layers[1:]):
        assert at is not None
        _, at, number = layer[at]
        order.append(number)
    return order[::-1]


def _next(job: _Job, chain: Sequence[int], others: Sequence[int], state: State) -> Iterator[tuple[int, int]]:
    """What may come next, and how much of the chain is done then; the chain first, so that it wins a tie."""
    place, done, _ = state
    if place < len(chain) and job.allowed(chain[place], done):
        yield chain[place], place + 1
    for number in others:
        if not done >> number & 1 and job.allowed(number, done):
            yield number, place


class _Costs:
    """Changes between the set-ups of a job as integers; −1 is the set-up at the start."""

    def __init__(self, job: _Job, changes: Changes) -> None:
        setups = tuple(dict.fromkeys(job.setups))
        number = {setup: place for place, setup in enumerate(setups)}
        self.of = [number[setup] for setup in job.setups]
        exact = {(a, b): changes.seconds(one, two) for one, a in number.items() for two, b in number.items()}
        exact |= {(-1, b): changes.start_seconds(two) for two, b in number.items()}
        scale = lcm(1, *(value.denominator for value in exact.values()))
        self._cost = {pair: int(Fraction(value * scale)) for pair, value in exact.items()}

    def change(self, old: int, new: int) -> int:
        return self._cost[old, new]
