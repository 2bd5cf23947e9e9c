"""Leaving out what a job does not need."""

import pytest

from sequencer.graph import UnreachableError, derive, goals, parse_targets
from sequencer.plan.order.prune import pruned
from tests.plan.jobs import machine_of, names, teardown
from tests.support.checker import order_faults, superfluous
from tests.support.page_example import PAGE
from tests.support.plain_machine import goal, load_machine
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine

GOOD = (
    "task isolate", "undo guard/screws", "remove guard", "drain oil", "slacken motor/feet", "loosen motor",
    "undo bracket/near", "undo bracket/far", "remove bracket",
)  # fmt: skip


def asked(text, *off):
    machine = machine_of(text)
    graph = derive(machine)
    return graph, goals(graph, parse_targets(machine, off))


@pytest.mark.parametrize(
    "needless",
    [
        ("undo motor/plug",),
        ("undo belt/tension", "remove belt"),
        ("task prop",),
        ("undo motor/plug", "undo motor/feet", "undo motor/cap", "remove motor"),
    ],
)
def test_what_nothing_asks_for_is_left_out_and_the_rest_keeps_its_order(needless):
    graph, wanted = asked(PAGE, "bracket")
    assert pruned(graph, wanted, (*GOOD, *needless)) == GOOD
    assert pruned(graph, wanted, GOOD) == GOOD


def test_a_crack_goes_with_what_called_for_it():
    graph, wanted = asked(PAGE, "bracket")
    extra = ("crack pulley/bolts", "undo belt/tension", "remove belt", "undo pulley/bolts")
    assert pruned(graph, wanted, (*GOOD, *extra)) == GOOD


@pytest.mark.parametrize("number", range(0, 60, counts(quick=12, landing=6, nightly=2)))
def test_everything_done_at_once_is_pruned_to_a_plan_with_nothing_superfluous(number):
    text, targets = random_machine(number, 3)
    off = [what for verb, what in targets if verb == "off"]
    if not off:
        return
    try:
        whole = teardown(text, [("off", part) for part in machine_of(text).parts])
    except UnreachableError:
        return
    graph, wanted = asked(text, *off)
    short = pruned(graph, wanted, names(whole))
    plain = load_machine(text)
    aims = goal(plain, [("off", what) for what in off])
    assert order_faults(plain, short, aims) == []
    assert superfluous(plain, short, aims) == []


@before_landing
def test_a_long_chain_in_which_all_is_needed_is_left_as_it_is():
    parts = counts(quick=1100, nightly=1500)  # more than the calls that Python lets be open
    lines = (
        f"  p{n}: {{behind: [p{n + 1}], joints: {{clip: {{kind: clip, tool: hand, time: 1 s}}}}}}"
        for n in range(parts - 1)
    )
    last = f"  p{parts - 1}: {{joints: {{clip: {{kind: clip, tool: hand, time: 1 s}}}}}}"
    text = "machine: A chain\npositions: {bench: {}}\nparts:\n" + "\n".join((*lines, last))
    graph, wanted = asked(text, "p0")
    order = [
        f"{what} p{n}{end}"
        for n in reversed(range(parts))
        for what, end in (("undo", "/clip"), ("remove", ""))
    ]
    assert pruned(graph, wanted, order) == tuple(order)
