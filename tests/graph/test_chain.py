"""Why a part has to move: the shortest chain of waiting from the target down to it."""

import networkx as nx
import pytest

from sequencer.graph import derive, goals, parse_targets
from sequencer.graph.chain import why
from sequencer.machine import read_text
from sequencer.plan import plan_teardown
from tests.support.page_example import PAGE


@pytest.fixture(scope="module")
def job():
    machine = read_text(PAGE, "page.yaml").machine
    targets = parse_targets(machine, ["bracket", "pulley"])
    order = [op.name for op in plan_teardown(machine, targets).operations]
    graph = derive(machine)
    return graph, goals(graph, targets), order


def chain(job, part):
    return [(link.later, link.earlier) for link in why(*job, part)]


def test_the_chain_leads_from_a_target_to_the_part(job):
    assert chain(job, "belt") == [("remove pulley", "remove belt")]
    assert chain(job, "motor") == [
        ("remove bracket", "undo bracket/far"),
        ("undo bracket/far", "loosen motor"),
    ]
    assert why(*job, "motor")[1].reason.text == "motor has to be loose before bracket/far can be reached"


def test_no_chain_is_shorter(job):
    graph, aims, order = job
    chosen = graph.restricted(order)
    waits = nx.DiGraph(
        (name, other) for name in order for clause in chosen.needs[name] for other in clause.any_of
    )
    sources = {name for aim in aims for name in aim.any_of if name in order}
    for part in ("guard", "belt", "motor"):
        lengths = [
            nx.shortest_path_length(waits, source, name)
            for source in sources
            for name in order
            if chosen.operations[name].part == part and nx.has_path(waits, source, name)
        ]
        assert len(chain(job, part)) == min(lengths)


def test_a_part_that_is_left_alone_or_is_the_target_has_no_chain(job):
    assert chain(job, "mount") == []
    assert chain(job, "pulley") == []
