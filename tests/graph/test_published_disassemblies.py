"""Published examples of taking apart, as machine files: what is known of their sequences and subassemblies.

Each file under ``published`` names its paper, and says what is from memory. What is counted here is counted
from the graph; what it is held against is either the published figure or enumerated anew from the rules.
"""

from functools import cache
from itertools import combinations, permutations
from pathlib import Path

import pytest

from sequencer.graph import derive
from sequencer.machine import read
from tests.graph.test_published_orders import orders

HERE = Path(__file__).parent / "published"


def graph_of(name):
    return derive(read(HERE / f"{name}.yaml").machine)


def allowed(graph, done, name):
    return all(set(clause.any_of) & done for clause in graph.needs[name])


def all_orders(graph, done=()):
    """Every order of all operations that meets every need."""
    if len(done) == len(graph.operations):
        yield done
    for name in graph.operations:
        if name not in done and allowed(graph, set(done), name):
            yield from all_orders(graph, (*done, name))


def test_the_pen_has_its_twelve_sequences():
    graph = graph_of("pen")
    liaison = {"head": 1, "button": 2, "tube": 3, "ink": 4, "cap": 5}
    found = {
        tuple(liaison[name.removeprefix("remove ")] for name in reversed(order))
        for order in all_orders(graph)
    }
    assembled = {
        way
        for way in permutations(range(1, 6))
        if way.index(3) < way.index(4) < max(way.index(1), way.index(2)) and way.index(1) < way.index(5)
    }
    assert found == assembled
    assert orders(graph) == len(found) == 12


# ---- The receptacle: what can be held in the hand on the way, and how it is parted ----

PARTS = ("cap", "stick", "receptacle", "handle")
CONNECTIONS = {
    "undo cap/thread": {"cap", "receptacle"},
    "undo handle/thread": {"handle", "receptacle"},
    "undo stick/cap": {"stick", "cap"},
    "undo stick/handle": {"stick", "handle"},
    "undo stick/receptacle": {"stick", "receptacle"},
}


def together(undone):
    """The subassemblies that the connections that are left make."""
    blocks = [{part} for part in PARTS]
    for name, ends in CONNECTIONS.items():
        if name not in undone:
            joined = [block for block in blocks if block & ends]
            blocks = [block for block in blocks if not block & ends] + [set().union(*joined)]
    return frozenset(frozenset(block) for block in blocks)


def states(graph):
    """What is undone, and the subassemblies left: all states where whatever is within one still holds."""
    reached, fresh = set(), [frozenset()]
    while fresh:
        done = fresh.pop()
        if done in reached:
            continue
        reached.add(done)
        fresh += [done | {name} for name in CONNECTIONS if name not in done and allowed(graph, done, name)]
    found = {done: together(done) for done in reached}
    return {
        done: blocks
        for done, blocks in found.items()
        if not any(CONNECTIONS[name] <= block for name in done for block in blocks)
    }


def partings(graph):
    """Every way in which one subassembly of a state comes apart in two."""
    found = states(graph)
    return {
        (state, after)
        for a, state in found.items()
        for b, after in found.items()
        if a < b and len(after) == len(state) + 1
    }


def test_the_receptacle_has_the_published_and_or_graph():
    graph = graph_of("receptacle")
    nodes = {block for blocks in states(graph).values() for block in blocks}
    assert len(nodes) == 12
    assert {block for block in nodes if len(block) == 3} == {
        frozenset({"cap", "stick", "receptacle"}),
        frozenset({"stick", "receptacle", "handle"}),
    }
    assert {block for block in nodes if len(block) == 2} == {frozenset(ends) for ends in CONNECTIONS.values()}
    ways = {(next(iter(state - after)), after - state) for state, after in partings(graph)}
    assert len(ways) == 15
    whole = frozenset(PARTS)
    assert sorted(min(map(len, halves)) for block, halves in ways if block == whole) == [1, 1, 2, 2]


def test_the_receptacle_comes_apart_in_as_many_sequences_as_its_and_or_graph_has():
    graph = graph_of("receptacle")
    steps = partings(graph)

    @cache
    def ways(state):
        return 1 if len(state) == len(PARTS) else sum(ways(after) for a, after in steps if a == state)

    @cache
    def parted(blocks):
        """The same from the rules alone: no stick out of what is closed, no cap on a handle."""
        if all(len(block) == 1 for block in blocks):
            return 1
        return sum(
            parted((blocks - {block}) | {half, block - half}) for block in blocks for half in halves(block)
        )

    def halves(block):
        first = min(block)
        for size in range(1, len(block)):
            for some in combinations(sorted(block), size):
                half = frozenset(some)
                pieces = (half, block - half)
                if first in half and all(
                    piece != {"cap", "handle"} and not closed(piece) for piece in pieces
                ):
                    yield half

    def closed(piece):
        return {"cap", "handle"} <= piece and len(piece) == 3

    assert ways(frozenset({frozenset(PARTS)})) == parted(frozenset({frozenset(PARTS)})) == 10


# ---- Two sets of tasks with their seconds ----

COMPUTER = [14, 10, 12, 18, 23, 16, 20, 36]
TEN_PARTS = [14, 10, 12, 17, 23, 14, 19, 36, 14, 10]
CYCLE = 40
"""Seconds that a task may wait at one station of the published line."""


def stations(graph, seconds):
    """The fewest stations of a line that keeps an order, and the least sum of squares of what they idle."""
    names = [f"remove task-{number}" for number in range(1, len(seconds) + 1)]

    @cache
    def left(done, load):
        if len(done) == len(names):
            return 1, (CYCLE - load) ** 2
        found = []
        for name, time in zip(names, seconds, strict=True):
            if name in done or not allowed(graph, done, name):
                continue
            if load + time <= CYCLE:
                found.append(left(done | {name}, load + time))
            if load:
                count, idle = left(done | {name}, time)
                found.append((count + 1, idle + (CYCLE - load) ** 2))
        return min(found)

    return left(frozenset(), 0)


@pytest.mark.parametrize(
    ("name", "seconds", "published", "best"),
    [
        pytest.param("computer", COMPUTER, ["1 5 3 6 2 8 7 4"], (4, 33), id="computer"),
        pytest.param(
            "ten_parts", TEN_PARTS, ["10 5 6 7 4 1 8 9 2 3", "6 1 5 10 7 4 8 9 2 3"], (5, 211), id="ten parts"
        ),
    ],
)
def test_a_set_of_tasks_has_the_published_orders_and_stations(name, seconds, published, best):
    graph = graph_of(name)
    assert [int(operation.seconds) for operation in graph.operations.values()] == seconds
    for order in published:
        steps = [f"remove task-{number}" for number in order.split()]
        assert len(set(steps)) == len(graph.operations)
        assert all(allowed(graph, set(steps[:at]), step) for at, step in enumerate(steps))
    assert stations(graph, tuple(seconds)) == best


def test_they_have_as_many_orders_as_the_rules_allow():
    def allowed_order(way):
        at = {task: place for place, task in enumerate(way)}
        first = at[1] < min(at[2], at[3], at[5], at[7]) and at[7] < at[4]
        return first and min(at[2], at[3]) < at[6] and max(at[5], at[6]) < at[8]

    assert orders(graph_of("computer")) == sum(map(allowed_order, permutations(range(1, 9))))
    # 5 and 6 either way before 7 and 4; 1 at one of five places before 8; 9; 2 and 3 either way; 10 anywhere
    assert orders(graph_of("ten_parts")) == 2 * 5 * 2 * 10
