"""Published examples of taking apart where it costs more or less to go from one step to the next: the least.

Such costs, for a change of tool or of side, are what A. J. D. Lambert adds to the graph of taking apart
(Optimum disassembly sequence with sequence-dependent disassembly costs, IEEE ISATP 2003; Computers &
Operations Research 34, 2007), with arbitrary instances on products of the literature. His numbers are not at
hand: the costs here are drawn by chance, and each least cost is found by trying all orders.
"""

import random
from fractions import Fraction
from itertools import combinations, pairwise, permutations, product
from pathlib import Path

import pytest

from sequencer.machine import read
from tests.plan.jobs import machine_of, names, teardown, there_and_back
from tests.support.profile import before_landing
from tests.support.reference import best_seconds

PUBLISHED = Path(__file__).parents[1] / "graph" / "published"


def with_costs(name, seed):
    """A published machine with a place for each part, and the time from each place to each other."""
    text = (PUBLISHED / f"{name}.yaml").read_text(encoding="utf-8")
    parts = list(read(PUBLISHED / f"{name}.yaml").machine.parts)
    rng = random.Random(seed)
    walk = {pair: rng.randint(1, 60) for pair in combinations(parts, 2)}
    places = "\n".join(f"  at-{part}: " for part in parts)
    walks = "\n".join(f"  - [at-{a}, at-{b}, {cost} s]" for (a, b), cost in walk.items())
    lines = []
    for line in text.splitlines():
        part = line.strip().partition(":")[0]
        lines.append(line.replace("{", f"{{from: at-{part}, ", 1) if part in parts else line)
    text = "\n".join(lines).replace("positions: {bench: }", f"positions:\n{places}\nwalks:\n{walks}")
    return text, shortest(parts, walk)


def shortest(parts, walk):
    """The cheapest way between two places, by way of any others (Floyd and Warshall, 1962)."""
    cost = {(a, b): 0 if a == b else walk.get((a, b), walk.get((b, a))) for a in parts for b in parts}
    for by, a, b in product(parts, repeat=3):
        cost[a, b] = min(cost[a, b], cost[a, by] + cost[by, b])
    return cost


def takes(order, seconds, cost):
    return sum(seconds[part] for part in order) + sum(cost[pair] for pair in pairwise(order))


def pen_allows(at):
    return at["cap"] < at["head"] and min(at["head"], at["button"]) < at["ink"] < at["tube"]


@pytest.mark.parametrize("seed", range(6))
def test_the_pen_comes_apart_at_the_least_cost_of_its_twelve_sequences(seed):
    text, cost = with_costs("pen", seed)
    parts = ("cap", "head", "button", "ink", "tube")
    plan = teardown(text, [("off", part) for part in parts])
    allowed = [
        order
        for order in permutations(parts)
        if pen_allows({part: place for place, part in enumerate(order)})
    ]
    assert len(allowed) == 12
    least = min(takes(order, dict.fromkeys(parts, 1), cost) for order in allowed)
    assert plan.totals.seconds == least
    assert plan.proven


@before_landing
@pytest.mark.parametrize("seed", range(6))
def test_the_main_board_of_the_computer_comes_out_at_the_least_cost_whichever_drive_that_takes(seed):
    text, cost = with_costs("computer", seed)
    seconds = dict(zip((f"task-{n}" for n in range(1, 9)), (14, 10, 12, 18, 23, 16, 20, 36), strict=True))
    cover, floppy, disk, cards, memory, board = (f"task-{n}" for n in (1, 2, 3, 5, 6, 8))
    least = min(
        takes((cover, *order, board), seconds, cost)
        for drive in (floppy, disk)
        for order in permutations((drive, cards, memory))
        if order.index(drive) < order.index(memory)
    )
    plan = teardown(text, [("off", board)])
    assert plan.totals.seconds == least
    assert plan.proven


def test_the_drive_depends_on_the_costs():
    drives = {
        name
        for seed in range(6)
        for name in names(teardown(with_costs("computer", seed)[0], [("off", "task-8")]))
        if name in ("remove task-2", "remove task-3")
    }
    assert drives == {"remove task-2", "remove task-3"}


# ---- Subassemblies: what goes off together ----

PEN = """
machine: Ballpoint pen whose refill comes out in one piece
positions: {bench: }
parts:
  cap: {joints: {snap: {kind: clip, tool: hand, time: 2 s}}}
  head: {behind: [cap], joints: {thread: {kind: screw, tool: hand, time: 6 s}}}
  button: {joints: {snap: {kind: clip, tool: hand, time: 3 s}}}
  tube: {rides: {on: head, with: [press]}, joints: {press: {kind: press fit, tool: hand, time: 20 s}}}
  ink: {rides: {on: tube, with: [bore]}, joints: {bore: {kind: fastener, tool: hand, time: 60 s}}}
"""

RECEPTACLE = """
machine: Receptacle whose stick goes off with its cap
positions: {bench: }
parts:
  handle: {joints: {thread: {kind: screw, tool: hand, time: 6 s}}}
  cap: {joints: {thread: {kind: screw, tool: hand, time: 5 s}}}
  stick:
    trapped_by: [{any: [handle, cap]}]
    rides: {on: cap, with: [cap]}
    joints:
      cap: {kind: fastener, tool: hand, time: 3 s}
      receptacle: {kind: fastener, tool: hand, time: 4 s}
"""


def test_the_pen_gives_head_tube_and_ink_as_one():
    """The subassembly {head, tube, ink} of the graph: out of the body, with its own liaisons as they were."""
    way_in, back = there_and_back(PEN, [("off", "head")])
    assert set(names(way_in)) == {"undo cap/snap", "remove cap", "undo head/thread", "remove head"}
    assert set(names(back)) == {"fit head", "fasten head/thread", "fit cap", "fasten cap/snap"}
    assert way_in.totals.seconds == best_seconds(PEN, [("off", "head")]) == Fraction(2 + 10 + 6 + 10)


def test_the_stick_goes_off_with_the_cap_and_in_again_with_it():
    """The parting {cap, stick} from {receptacle, handle}."""
    way_in, back = there_and_back(RECEPTACLE, [("off", "cap")])
    assert set(names(way_in)) == {"undo cap/thread", "undo stick/receptacle", "remove cap"}
    assert set(names(back)) == {"fit cap", "fasten cap/thread", "fasten stick/receptacle"}
    assert way_in.totals.seconds == best_seconds(RECEPTACLE, [("off", "cap")]) == Fraction(5 + 4 + 10)


@before_landing
@pytest.mark.parametrize("text", [PEN, RECEPTACLE], ids=["pen", "receptacle"])
def test_every_selection_of_parts_comes_off_in_the_least_time_with_what_rides(text):
    for size in range(1, 4):
        for some in combinations(machine_of(text).parts, size):
            targets = [("off", part) for part in some]
            plan = teardown(text, targets)
            assert plan.totals.seconds == best_seconds(text, targets), some
            assert plan.proven
