"""Of orders that cost the same: nothing comes between the last joint of a part and its coming away."""

import random

import pytest

from sequencer.errors import SequencerError
from sequencer.plan.hazards.hands import hands
from sequencer.plan.plan import Totals
from sequencer.plan.practice import ordering
from sequencer.plan.practice.rules import Practice, kept_by
from tests.plan.jobs import by_hand_where_nothing_is_said, names, there_and_back
from tests.plan.practice.chance import add_supports, changed
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine

# A filter is unscrewed with a strap, a stay with a bar: whether the hand comes between or not costs the same.
FILTER = """
machine: A filter and a stay, invented
positions: {front: {}}
tools: {strap: {drive: none}, bar: {drive: none}}
parts:
  cover: {joints: {clips: {kind: clip, tool: hand}}}
  filter: {behind: [cover], joints: {thread: {kind: seal, tool: strap}}}
  stay: {behind: [cover], joints: {bolt: {kind: bolt, tool: bar}}}
  tray: {behind: [stay], joints: {catch: {kind: clip, tool: bar}}}
"""
OFF = [("off", part) for part in ("cover", "filter", "stay", "tray")]

TRAY = """
machine: A tray over the head, invented
positions: {front: {}, pit: {enter: 60 s, leave: 60 s}}
parts:
  tray:
    from: pit
    weight: 6 kg
    joints: {screws: {kind: bolt, head: 13}, clips: {kind: clip, tool: hand}}
  motor: {joints: {pivot: {kind: bolt, head: 17, from: pit}, cable: {kind: connector}}}
"""


def gaps(order, parts, first, last):
    """The steps between a part's last joint and its coming away, or its fitting and its first joint."""
    for part in parts:
        own = [number for number, name in enumerate(order) if name.startswith(f"{first} {part}")]
        then = [number for number, name in enumerate(order) if name.startswith(f"{last} {part}")]
        yield min(then) - max(own) - 1


def test_a_part_comes_away_directly_after_its_last_joint_and_is_fastened_directly_after_it_is_fitted():
    way_in, back = there_and_back(FILTER, OFF, practice=Practice.ALL)
    parts = [part for _, part in OFF]
    assert set(gaps(names(way_in), parts, "undo", "remove")) == {0}
    assert set(gaps(names(back), parts, "fit", "fasten")) == {0}


def test_nobody_turns_to_another_thing_with_a_tray_in_hand_where_it_could_be_done_before():
    way_in, _ = there_and_back(TRAY, [("off", "motor"), ("off", "tray")], practice=Practice.ALL)
    order = names(way_in)
    assert not order.index("undo tray/screws") < order.index("undo motor/pivot") < order.index("remove tray")
    assert hands(way_in).second == ()


ALTERNATOR = """
machine: An alternator that swings for its belt, invented
positions: {top: {}}
parts:
  belt: {behind: [{alternator: loose}], joints: {run: {kind: tie, tool: hand, time: 10 s}}}
  alternator:
    trapped_by: [belt]
    weight: 6 kg
    loose: {joints: [pivot, slot], time: 20 s}
    joints:
      pivot: {kind: bolt, head: 13, time: 60 s, torque: 40 N.m}
      slot: {kind: bolt, head: 13, time: 40 s, torque: 20 N.m}
      plug: {kind: connector, time: 10 s}
"""


def test_what_is_slackened_to_swing_a_part_comes_out_after_that_and_is_in_before_it():
    way_in, back = there_and_back(ALTERNATOR, [("off", "alternator")], practice=Practice.ALL)
    order, home = names(way_in), names(back)
    for joint in ("pivot", "slot"):
        assert order.index("loosen alternator") < order.index(f"undo alternator/{joint}")
        assert home.index(f"fasten alternator/{joint}") < home.index("seat alternator")
    assert way_in.proven
    assert back.proven


@before_landing
def test_it_costs_nothing_and_no_rule():
    moved = 0
    for seed in counts(quick=range(6), landing=range(20), nightly=range(1500)):
        text, targets = random_machine(seed, 4, torques=True)
        text = changed(
            by_hand_where_nothing_is_said(text), lambda m, s=seed: add_supports(random.Random(s), m)
        )
        try:
            plans = there_and_back(text, targets, practice=Practice.ALL)
        except SequencerError:
            continue
        with pytest.MonkeyPatch.context() as without:
            without.setattr(ordering, "at_once", lambda *asked: asked[2])
            before = there_and_back(text, targets, practice=Practice.ALL)
        for plan, plain in zip(plans, before, strict=True):
            assert Totals.of(plan.steps).no_worse(Totals.of(plain.steps)), seed
            assert plan.proven == plain.proven, seed
            bare = [name for name in names(plan) if not name.startswith("seal ")]
            assert all(kept_by(plan.practice.kept, bare[::-1] if plan.back else bare)), seed
            moved += names(plan) != names(plain)
    assert moved
