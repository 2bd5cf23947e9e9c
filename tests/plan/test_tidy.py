"""Within a set-up, work goes down the file; costs stay as they are."""

import pytest

from sequencer.graph import derive, goals, narrowed, parse_targets
from sequencer.machine import read_text
from sequencer.plan.order.replay import replay
from sequencer.plan.order.setups import Changes
from sequencer.plan.order.tidy import tidied
from sequencer.plan.plan import Totals
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine

FILE = """
machine: Three lids
parts:
  first: {joints: {clip: {kind: clip, time: 5 s}}}
  second: {joints: {clip: {kind: clip, time: 5 s}}}
  third: {behind: [second], joints: {clip: {kind: clip, time: 5 s}}}
"""


def test_a_run_in_one_set_up_goes_down_the_file():
    graph = derive(read_text(FILE).machine)
    order = [
        "undo second/clip",
        "remove second",
        "undo third/clip",
        "undo first/clip",
        "remove third",
        "remove first",
    ]
    assert tidied(graph, order) == (
        "undo first/clip", "remove first", "undo second/clip", "remove second", "undo third/clip",
        "remove third",
    )  # fmt: skip


@before_landing
@pytest.mark.parametrize("seed", range(counts(quick=8, landing=20, nightly=40)))
def test_a_tidied_plan_is_still_valid_and_costs_the_same(seed):
    from sequencer.engine.problem import Limits
    from sequencer.graph import UnreachableError
    from sequencer.plan.answer import best_order
    from sequencer.plan.order.prefer import Prefer

    text, targets = random_machine(seed, 3)
    machine = read_text(text).machine
    if machine is None:
        pytest.skip("the file is refused")
    whole = derive(machine)
    asked = parse_targets(
        machine, [t for k, t in targets if k == "off"], [t for k, t in targets if k == "reach"]
    )
    try:
        graph, wanted = narrowed(whole, goals(whole, asked))
    except UnreachableError:
        pytest.skip("out of reach")
    changes = Changes.of(machine)
    answer = best_order(graph, wanted, changes, Prefer.TIME, Limits(), None)
    if answer is None:
        pytest.skip("out of reach")
    upside_down = {name: -number for number, name in enumerate(graph.operations)}
    turned = tidied(graph, answer.order, upside_down)
    assert sorted(turned) == sorted(answer.order)
    assert Totals.of(replay(graph, turned, changes)) == answer.totals
    assert tidied(graph, turned) == tidied(graph, answer.order)
