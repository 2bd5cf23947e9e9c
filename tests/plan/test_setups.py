"""What changes of tool and place cost, against networkx's shortest paths and by hand."""

import random
from fractions import Fraction

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sequencer.plan.order.setups import Changes, Setup
from tests.plan.jobs import machine_of
from tests.support.profile import counts


def changes_of(head, tools=()):
    """The changes of a machine with this head; it keeps only the tools that a joint of its uses."""
    joints = ", ".join(f"{tool}: {{kind: bolt, tool: {tool}, time: 1}}" for tool in ("hand", *tools))
    return Changes.of(machine_of(f"machine: Places\n{head}parts:\n  lid: {{joints: {{{joints}}}}}\n"))


def place_file(seed):
    rng = random.Random(seed)
    names = [f"place-{number}" for number in range(rng.randint(2, 7))]
    positions = {n: {w: rng.choice((0, 3, 12, 45)) for w in ("enter", "leave")} for n in names}
    pairs = [(a, b) for i, a in enumerate(names) for b in names[i + 1 :] if rng.random() < 0.5]
    walks = {pair: rng.choice((1, 5, 20, 90)) for pair in pairs}
    walk = rng.choice((10, 60, 120))
    head = f"pace: {{walk: {walk}}}\npositions:\n"
    head += "".join(
        f"  {n}: {{label: {n}, enter: {of['enter']}, leave: {of['leave']}}}\n" for n, of in positions.items()
    )
    if walks:
        head += "walks:\n" + "".join(f"  - [{a}, {b}, {time}]\n" for (a, b), time in walks.items())
    graph = nx.DiGraph()
    for a in names:
        for b in names:
            if a != b:
                way = walks.get((a, b), walks.get((b, a), walk))
                graph.add_edge(a, b, seconds=positions[a]["leave"] + way + positions[b]["enter"])
    return head, graph


@settings(max_examples=counts(quick=10, landing=10, nightly=500))
@given(seed=st.integers(0, 10**6))
def test_every_move_is_the_shortest_route_as_networkx_has_it(seed):
    head, graph = place_file(seed)
    changes = changes_of(head)
    # networkx: all_pairs_dijkstra_path_length.
    for old, lengths in nx.all_pairs_dijkstra_path_length(graph, weight="seconds"):
        for new, length in lengths.items():
            assert changes.move_seconds(old, new) == length


TOOLS = """pace: {pick_up: 8, put_down: 4, swap: 7}
positions: {bench: {label: Bench}, under: {label: Under, enter: 90, leave: 60}}
walks: [[bench, under, 15]]
tools:
  bar: {label: Bar, drive: none}
  hook: {label: Hook}
  small: {label: Small socket, drive: ratchet}
  large: {label: Large socket, drive: ratchet}
  blade: {label: Blade, drive: handle}
"""
NAMES = ("bar", "hook", "small", "large", "blade")


@pytest.mark.parametrize(
    ("old", "new", "seconds", "counted"),
    [
        ("hand", "hand", 0, False),
        ("small", "small", 0, False),
        ("hand", "small", 8, True),
        ("small", "hand", 4, False),
        ("small", "large", 7, True),
        ("small", "blade", 12, True),
        ("bar", "hook", 12, True),  # two tools without a drive never share one
        ("bar", "bar", 0, False),
        ("small", "bar", 12, True),
    ],
)
def test_a_change_of_tool_costs_what_the_page_says(old, new, seconds, counted):
    assert changes_of(TOOLS, NAMES).tool_seconds(old, new) == seconds
    assert Changes.is_tool_change(old, new) is counted


def test_torque_wrenches_are_swapped_among_themselves_and_put_down_for_a_socket():
    changes = Changes.of(
        changes_of(TOOLS).machine, {"torque-wrench+small": "torque-wrench", "torque-wrench": "torque-wrench"}
    )
    assert changes.tool_seconds("torque-wrench+small", "torque-wrench") == 7
    assert changes.tool_seconds("small", "torque-wrench+small") == 12


def test_tool_and_place_add_up_and_the_first_place_is_free_without_a_start():
    changes = changes_of(TOOLS, NAMES)
    assert changes.seconds(Setup("bench", "small"), Setup("under", "large")) == 7 + 15 + 90
    assert changes.seconds(Setup("under", "small"), Setup("bench", "hand")) == 4 + 60 + 15
    assert changes.start_seconds(Setup("under", "bar")) == 8
    started = changes_of("start: bench\n" + TOOLS, NAMES)
    assert started.start_seconds(Setup("under", "bar")) == 8 + 15 + 90
    assert started.start_seconds(Setup("bench", "hand")) == 0


def test_a_pair_without_a_walk_takes_the_pace():
    changes = changes_of("pace: {walk: 33.5}\npositions: {a: {label: A}, b: {label: B}}\n")
    assert changes.move_seconds("a", "b") == Fraction(67, 2)
