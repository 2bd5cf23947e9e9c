"""What hidden blockers cost a job: two whole plans subtracted, the second as the boxes would have it."""

from fractions import Fraction

import pytest

from sequencer.engine.problem import Limits
from sequencer.graph import parse_targets
from sequencer.graph.geometry import scan
from sequencer.graph.geometry.added import within
from sequencer.plan.scan import surprise
from sequencer.plan.teardown import plan_teardown
from tests.graph.geometry.test_seen import CLIP, LOW, box, made

LID = f"lid: {{{box(0, 0, 20)}, %s{CLIP}}}"


def cost(machine, *off):
    targets = parse_targets(machine, off)
    return surprise(within(scan(machine), targets), targets, Limits())


def test_a_lid_that_nobody_wrote_costs_its_own_removal():
    found = cost(made(LOW, LID % ""), "low")
    assert (found.written, found.seen) == (Fraction(30), Fraction(60))  # a clip 20 s, a part 10 s, each twice
    assert (found.added, found.proven) == (("undo lid/clip", "remove lid"), True)


def test_it_is_the_plan_of_the_file_that_says_so():
    machine = made(LOW, LID % "", f"roof: {{{box(0, 0, 40)}, out: +z, {CLIP}}}")
    written = made(LOW.replace("out: +z", "out: +z, trapped_by: [lid, roof]"), LID % "", f"roof: {{{CLIP}}}")
    plan = plan_teardown(written, parse_targets(written, ["low"]))
    assert cost(machine, "low").seen == plan.totals.seconds


@pytest.mark.parametrize("off", ["lid", "low=off"])
def test_without_a_hidden_blocker_there_is_nothing_to_price(off):
    machine = made(LOW.replace("out: +z", "out: +z, trapped_by: [lid]"), LID % "")
    assert cost(machine, off) is None


def test_what_the_job_does_not_touch_costs_it_nothing():
    assert cost(made(LOW, LID % "", f"far: {{{box(90, 0, 0)}, {CLIP}}}"), "far") is None
