"""The graph itself: cutting it down, and handing it to networkx."""

import networkx as nx
import pytest

from sequencer.graph import derive
from sequencer.machine import read_text
from sequencer.machine.model import Atom, State
from sequencer.machine.trade.relations import OFF, barring
from tests.support.page_example import PAGE


@pytest.fixture(scope="module")
def graph():
    return derive(read_text(PAGE, "page.yaml").machine)


@pytest.mark.parametrize(
    ("atom", "operations"),
    [
        (Atom("motor", State.LOOSE), ("loosen motor", "remove motor")),
        (Atom("motor", State.ASIDE), ("remove motor",)),
        (Atom("guard"), ("remove guard",)),
        (Atom("guard", State.FITTED), ()),
        (Atom("motor", joint="plug"), ("undo motor/plug",)),
    ],
)
def test_what_makes_something_clear_least_first(graph, atom, operations):
    assert graph.reaching(atom) == operations


def test_networkx_sees_an_alternative_as_a_node_of_its_own(graph):
    whole = graph.to_networkx()
    ways = [node for node, about in whole.nodes(data=True) if about.get("any")]
    assert {name for name, _ in ways} == {"undo bracket/far", "undo mount/stud", "remove mount"}
    (far,) = [node for node in ways if node[0] == "undo bracket/far"]
    assert set(whole.predecessors(far)) == {"loosen motor", "remove motor"}
    assert set(whole.successors(far)) == {"undo bracket/far"}
    assert whole.edges["remove belt", "remove pulley"]["reason"].kind == barring(OFF)
    assert whole.edges["crack pulley/bolts", "remove belt"]["both"] is True
    assert nx.is_directed_acyclic_graph(whole)


def test_a_cut_keeps_only_rules_between_what_is_kept(graph):
    cut = graph.restricted(["task isolate", "undo pulley/bolts", "crack pulley/bolts", "loosen motor"])
    assert list(cut.operations) == ["task isolate", "crack pulley/bolts", "undo pulley/bolts", "loosen motor"]
    assert [(rule.before, rule.after) for rule in cut.orders] == [("crack pulley/bolts", "undo pulley/bolts")]
    assert cut.slackenings == ()
    (crack,) = cut.cracks
    assert (crack.undoing, crack.touching) == (("undo pulley/bolts",), ())


def test_a_part_is_touched_by_what_is_done_to_it_and_its_joints(graph):
    assert set(graph.touching["pulley"]) == {"crack pulley/bolts", "undo pulley/bolts", "remove pulley"}
