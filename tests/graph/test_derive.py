"""The table of operations, row by row on the format page's sample, then against the second reading."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sequencer.graph import derive
from sequencer.machine import read_text
from tests.support.page_example import PAGE
from tests.support.plain_machine import load_machine
from tests.support.profile import counts
from tests.support.random_machines import random_machine


@pytest.fixture(scope="module")
def graph():
    return derive(read_text(PAGE, "page.yaml").machine)


FIRST = {"task isolate"}


@pytest.mark.parametrize(
    ("name", "position", "tool", "seconds", "needs"),
    [
        # task T: its `behind`; every task in `first`
        ("task isolate", "bench", "hand", 180, []),
        ("task prop", "under", "jack", 120, [FIRST]),
        # drain F: its `behind`
        ("drain oil", "under", "hex-6", 360, [FIRST, {"remove guard"}]),
        # crack P/J: the `behind` of P and J; its own time
        ("crack pulley/bolts", "bench", "socket-10", 20, [FIRST, {"remove guard"}]),
        # slacken P/J: a third of the joint's time
        ("slacken motor/feet", "under", "socket-13", Fraction(50, 3), [FIRST]),
        # loosen P: slacken of those joints; by hand at the part's own position
        ("loosen motor", "bench", "hand", 20, [FIRST, {"slacken motor/feet"}]),
        # undo P/J: behind P and J, the fluids, tasks
        ("undo guard/screws", "bench", "T-25", 48, [FIRST]),
        ("undo belt/tension", "bench", "long-bar", 40, [FIRST, {"remove guard"}]),
        ("undo pulley/bolts", "bench", "socket-10", 48, [FIRST, {"remove guard"}]),
        ("undo motor/plug", "bench", "hand", 10, [FIRST]),
        ("undo motor/feet", "under", "socket-13", 50, [FIRST]),
        ("undo bracket/near", "bench", "socket-10", 36, [FIRST, {"drain oil"}]),
        (
            "undo bracket/far",
            "bench",
            "socket-10",
            25,
            [FIRST, {"loosen motor", "remove motor"}, {"drain oil"}],
        ),
        (
            "undo mount/stud",
            "under",
            "socket-15",
            120,
            [FIRST, {"remove bracket", "remove motor"}, {"task prop"}],
        ),
        # remove P: undo of all its joints; `behind` and `trapped_by` of P; a part's `wet`
        ("remove guard", "bench", "hand", 10, [FIRST, {"undo guard/screws"}]),
        (
            "remove pulley",
            "bench",
            "hand",
            10,
            [FIRST, {"undo pulley/bolts"}, {"remove guard"}, {"remove belt"}],
        ),
        (
            "remove bracket",
            "bench",
            "hand",
            10,
            [FIRST, {"undo bracket/near"}, {"undo bracket/far"}, {"drain oil"}],
        ),
        (
            "remove mount",
            "bench",
            "hand",
            10,
            [FIRST, {"undo mount/stud"}, {"remove bracket", "remove motor"}, {"task prop"}],
        ),
    ],
)
def test_a_row_of_the_table(graph, name, position, tool, seconds, needs):
    operation = graph.operations[name]
    assert (operation.position, operation.tool, operation.seconds) == (position, tool, seconds)
    clauses = [set(clause.any_of) for clause in graph.needs[name]]
    assert sorted(map(sorted, clauses)) == sorted(map(sorted, needs))


def test_what_was_slackened_takes_the_other_two_thirds_later(graph):
    assert [(s.slacken, s.undo, s.saved) for s in graph.slackenings] == [
        ("slacken motor/feet", "undo motor/feet", Fraction(50, 3))
    ]


def test_states_are_gone_through_upwards_and_a_crack_comes_first(graph):
    orders = {(rule.before, rule.after) for rule in graph.orders}
    assert orders == {
        ("loosen motor", "remove motor"),
        ("slacken motor/feet", "undo motor/feet"),
        ("crack pulley/bolts", "undo pulley/bolts"),
        ("crack pulley/bolts", "undo belt/tension"),
        ("crack pulley/bolts", "remove belt"),
    }


def test_a_crack_is_called_for_by_its_joint_and_its_holders(graph):
    (rule,) = graph.cracks
    assert rule.crack == "crack pulley/bolts"
    assert set(rule.undoing) == {"undo pulley/bolts"}
    assert set(rule.touching) == {"undo belt/tension", "remove belt"}


def test_a_part_moved_aside_needs_its_joints_undone_and_its_fluids_drained():
    machine = read_text(
        """
machine: Aside
positions: {bench: {label: At the bench}}
fluids: {oil: {volume: 1 L, drain: {time: 60 s}, fill: {time: 60 s}}}
parts:
  box:
    wet: [oil]
    aside: {joints: [near], time: 5 s}
    joints: {near: {kind: clip, tool: hand, time: 3 s}, far: {kind: clip, tool: hand, time: 3 s}}
""",
        "aside.yaml",
    ).machine
    graph = derive(machine)
    assert [set(c.any_of) for c in graph.needs["move-aside box"]] == [{"undo box/near"}, {"drain oil"}]
    assert graph.operations["move-aside box"].seconds == 5


def test_every_reason_names_the_line_that_gives_it(graph):
    lines = PAGE.splitlines()
    for name, clauses in graph.needs.items():
        for clause in clauses:
            place = clause.reason.place
            assert place.file == "page.yaml", name
            assert lines[place.line - 1].strip(), name
    (wait,) = [c for c in graph.needs["undo bracket/far"] if "loosen motor" in c.any_of]
    assert "motor: loose" in lines[wait.reason.place.line - 1]
    assert wait.reason.text == "motor has to be loose before bracket/far can be reached"


@settings(max_examples=counts(quick=8, landing=20, nightly=2000))
@given(number=st.integers(0, 10**6), size=st.integers(1, 8))
def test_random_machines_have_the_operations_that_the_second_reading_derives(number, size):
    text, _ = random_machine(number, size)
    graph, plain = derive(read_text(text, "random.yaml").machine), load_machine(text)
    assert set(graph.operations) == set(plain.operations)
    for name, operation in graph.operations.items():
        right = plain.operations[name]
        assert (operation.position, operation.seconds) == (right.position, right.seconds), name
        assert {frozenset(clause.any_of) for clause in graph.needs[name]} == set(right.asks), name
    assert {rule.crack for rule in graph.cracks} == set(plain.cracks)
