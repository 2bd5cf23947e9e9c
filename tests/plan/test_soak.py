"""What has to act for a while: other steps meanwhile, where that is worth it. Figures worked out by hand."""

from fractions import Fraction

from sequencer.graph import derive, parse_targets
from sequencer.plan import plan_teardown
from sequencer.plan.closing.soak import Soak, acting, idle
from sequencer.plan.onward.present import Present
from tests.plan.jobs import machine_of, names

TEXT = """
machine: A rusty bolt and something else to do
positions: {here: {label: Here}}
tasks: {oil: {label: Oil it, time: 60 s, before: [rusty/bolt]}}
parts:
  rusty:
    time: 0 s
    joints: {bolt: {kind: bolt, tool: hand, time: 30 s}}
  other:
    time: 0 s
    joints: {strap: {kind: strap, tool: hand, time: 200 s}}
"""


def case(seconds):
    machine = machine_of(TEXT)
    targets = parse_targets(machine, ["rusty", "other"])
    graph = plan_teardown(machine, targets).graph
    order = ("task oil", "undo rusty/bolt", "remove rusty", "undo other/strap", "remove other")
    changes = Present().changes(machine)
    return acting(graph, order, changes, Soak("task oil", ("undo rusty/bolt",), Fraction(seconds)))


def test_what_can_be_done_meanwhile_is_done_meanwhile():
    order, waits = case(150)
    assert order == ("task oil", "undo other/strap", "undo rusty/bolt", "remove rusty", "remove other")
    assert waits == 0


def test_what_is_left_to_wait_is_told():
    order, waits = case(900)
    assert order[:3] == ("task oil", "undo other/strap", "remove other")
    assert waits == 700  # 900 s less the 200 s of the strap


def test_no_wait_is_no_matter():
    machine = machine_of(TEXT)
    graph = derive(machine)
    plan = plan_teardown(machine, parse_targets(machine, ["rusty"]))
    soak = Soak("task oil", ("undo rusty/bolt",), Fraction(0))
    assert idle(graph, names(plan), Present().changes(machine), soak) == 0
