"""Choices of a way in that lie within the spread of their times."""

import pytest

from sequencer.document.blocks import Fields
from sequencer.document.plans.plan import teardown_document
from sequencer.plan.either import either
from sequencer.render.data.plans.plan import teardown_json
from tests.plan.jobs import names, teardown

MACHINE = """
machine: M
start: bench
positions: {bench: {}, side: {enter: 4 min}}
tools: {bar: {drive: none}}
pace: {pick_up: 5 s, put_down: 5 s, swap: 5 s}
parts:
  strap:
    label: Strap
    joints:
      near: {kind: latch, label: near end, tool: bar, NEAR}
      far: {kind: latch, label: far end, tool: bar, FAR}
  lid: {label: Lid, time: 60 s}
  box:
    time: 30 s
    trapped_by: [{any: [strap/near, strap/far]}WAIT]
    joints: {bolts: {kind: latch, tool: bar, time: 60 s}}
"""
"""A latch never seizes: all that is uncertain are its times."""
WIDE = "time: 3 to 12 min", "time: 200 s to 13 min"
"""Middles of 360 s and of 395 s."""


def plan_of(near, far, wait=""):
    text = MACHINE.replace("NEAR", near).replace("FAR", far).replace("WAIT", wait)
    return teardown(text, [("off", "box")])


def said(plan):
    rows = [row for block in teardown_document(plan) if isinstance(block, Fields) for row in block.rows]
    return [words for label, words in rows if label == "Either"]


def test_a_few_seconds_apart_either_will_do():
    plan = plan_of(*WIDE)
    assert "undo strap/near" in names(plan)
    assert said(plan) == [
        "Strap: near end or far end: either will do (about 40 s apart); near end is the safer bet"
    ]
    (told,) = teardown_json(plan)["either"]
    assert told["taken"], told["other"] == (["undo strap/near"], ["undo strap/far"])
    assert 0.3 < told["chance"] < 0.5
    assert (told["safer"], told["says"]) == ("taken", said(plan)[0])
    assert 30 <= told["seconds"] <= 50


@pytest.mark.parametrize("far", ["15 min", "8 to 30 min", "399 s"])
def test_nothing_is_said_where_the_difference_is_clear(far):
    """A tenth is clear enough where two times go together: the same person, the same kind of joint."""
    plan = plan_of("time: 3 to 12 min" if far != "399 s" else "time: 6 min", f"time: {far}")
    assert "undo strap/near" in names(plan)
    assert said(plan) == []
    assert teardown_json(plan)["either"] == []


def test_the_safer_one_is_that_which_spreads_less():
    plan = plan_of("time: 2 to 40 min", "time: 9 to 11 min")
    assert "undo strap/near" in names(plan)
    (one,) = either(plan)
    assert one.way.operations == one.safer.operations == ("undo strap/far",)
    assert said(plan)[0].endswith("far end is the safer bet")


def test_what_only_the_other_way_calls_for_counts():
    """The lid is in the way of the far end: that counts unless it comes off in any case."""
    near, far = WIDE
    behind = f"{far}, behind: [lid]"
    assert not either(plan_of(near, behind))
    (one,) = either(plan_of(near, behind, wait=", lid"))
    assert 30 <= one.seconds < 60


def test_the_way_to_another_place_counts():
    near, far = WIDE
    assert either(plan_of(near, far))
    assert not either(plan_of(near, f"{far}, from: side"))


def test_what_the_way_taken_saves_counts():
    """The near end is behind the lid, and quicker all the same."""
    (one,) = either(plan_of("time: 100 s, behind: [lid]", "time: 175 s"))
    assert one.taken.operations == ("undo strap/near",)
    assert 0 < one.seconds < 40


def test_a_way_that_is_gone_in_any_case_is_no_choice():
    assert not either(plan_of(*WIDE, wait=", strap/near"))


def test_a_state_that_can_never_be_reached_is_no_hindrance():
    text = """
machine: M
positions: {bench: {}}
tools: {bar: {drive: none}}
parts:
  belt: {time: 30 s, trapped_by: [box], aside: {time: 20 s}}
  box: {time: 20 s, behind: [{belt: off}]}
"""
    plan = teardown(text, [("off", "belt=aside")])
    assert names(plan) == ["move-aside belt"]
    assert either(plan) == ()
