"""Of orders that cost the same: nothing comes between the last joint of a part and its coming away."""

import random

import pytest

from sequencer.errors import SequencerError
from sequencer.plan.hazards.hands import hands
from sequencer.plan.plan import Totals
from sequencer.plan.practice import ordering
from sequencer.plan.practice.at_once import at_once, totals_of
from sequencer.plan.practice.rules import Practice, kept_by
from tests.plan.jobs import by_hand_where_nothing_is_said, names, there_and_back
from tests.plan.practice.chance import add_supports, changed
from tests.plan.practice.test_reasons import both_jobs
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


FIRSTS = """
machine: A belt pump on stands, invented
positions: {front: {}}
tools: {bar: {drive: none}, jack: {drive: none}}
tasks: {raise: {tool: jack, undo: {label: Lower it}}}
parts:
  wheel: {joints: {bolts: {kind: bolt, head: 19, torque: {value: 110 N.m, when: [raise]}}}}
  tray: {needs: [raise], joints: {screws: {kind: screw, head: T25}}}
  motor:
    loose: [jack, feet]
    joints:
      jack: {kind: tensioner, head: 17, time: 40 s}
      feet: {kind: bolt, head: 17, count: 4, torque: 45 N.m}
  belt:
    trapped_by: [{motor: loose}]
    joints: {splice: {kind: bolt, tool: hand, crack: {while: [motor]}}, hooks: {kind: hook, tool: bar}}
"""


def test_what_carries_or_clamps_or_holds_meanwhile_comes_first_and_on_the_way_back_last():
    """Common practice: off the stands on its wheels; a tensioner is clamped last; no belt is parted tight."""
    way_in, back = there_and_back(
        FIRSTS, [("off", part) for part in ("tray", "belt", "wheel")], practice=Practice.ALL
    )
    order, home = names(way_in), names(back)
    assert order.index("task raise") < order.index("undo wheel/bolts")
    assert home.index("fasten wheel/bolts") < home.index("restore raise") < home.index("torque wheel/bolts")
    assert order.index("slacken motor/feet") < order.index("slacken motor/jack")
    assert home.index("tighten motor/jack") < home.index("tighten motor/feet")
    assert order.index("loosen motor") < order.index("undo belt/splice")
    assert home.index("fasten belt/splice") < home.index("seat motor")


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


SLING = """
machine: A pump in a sling on a trailer, invented
positions: {front: {}}
tools: {strap: {drive: none}, bar: {drive: none}}
tasks:
  sling: {carries: [pump], undo: {}}
  chocks: {undo: {}}
  raise: {after: [chocks], tool: strap, before: [axle], undo: {}}
parts:
  pump: {weight: 30 kg, joints: {bolts: {kind: bolt, tool: bar}, plug: {kind: connector, tool: strap}}}
  cover: {joints: {catch: {kind: clip, tool: strap}}}
  tray: {joints: {latch: {kind: latch, tool: hand}}}
  axle: {joints: {pin: {kind: bolt, tool: strap}}}
"""


def test_nothing_else_is_done_while_a_pump_hangs_in_its_sling_and_the_sling_goes_with_it():
    off = [("off", part) for part in ("pump", "cover", "tray", "axle")]
    way_in, back = map(names, there_and_back(SLING, off, practice=Practice.ALL))
    begin = way_in.index("task sling")
    assert way_in[begin : begin + 4] == ["task sling", "undo pump/bolts", "remove pump", "restore sling"]
    begin = back.index("task sling")
    assert back[begin : begin + 4] == ["task sling", "fit pump", "fasten pump/bolts", "restore sling"]


PUMP = """
machine: A pump on two bolts, with a stay and a hose, invented
positions: {front: {}}
parts:
  pump:
    weight: 7 kg
    joints:
      bolts: {kind: bolt, head: 16, torque: 40 N.m}
      stay: {kind: bolt, head: 16, torque: 20 N.m, settle: true}
      hose: {kind: clamp, head: 16}
"""


def test_a_pump_comes_off_its_bolts_last_and_is_fitted_on_them_first():
    way_in, back = map(names, there_and_back(PUMP, [("off", "pump")], practice=Practice.ALL))
    assert way_in[-2:] == ["undo pump/bolts", "remove pump"]
    assert back[:2] == ["fit pump", "fasten pump/bolts"]


CHOCKS = """
machine: A cart on chocks, invented
positions: {front: {}}
tools: {strap: {drive: none}}
tasks:
  chocks: {undo: {}}
  raise: {after: [chocks], before: [axle], undo: {}}
parts:
  axle: {joints: {pin: {kind: bolt, tool: strap}}}
  guard: {joints: {screws: {kind: clip, tool: hand}}}
  cover: {joints: {catch: {kind: clip, tool: hand}}}
"""


def test_chocks_go_away_last():
    _, back = there_and_back(CHOCKS, [("off", p) for p in ("axle", "guard", "cover")], practice=Practice.ALL)
    assert names(back)[-1] == "restore chocks"


SNUG = """
machine: A guard over a cover, invented
positions: {front: {}}
tools: {strap: {drive: none}, bar: {drive: none}}
parts:
  lid: {joints: {clip: {kind: clip, tool: strap}}}
  cover: {joints: {bolts: {kind: bolt, tool: bar, torque: 9 N.m}}}
  guard: {joints: {screws: {kind: bolt, tool: strap}}}
"""


def test_no_guard_is_fitted_while_a_cover_is_only_snug():
    _, back = there_and_back(SNUG, [("off", p) for p in ("lid", "cover", "guard")], practice=Practice.ALL)
    order = names(back)
    assert order.index("torque cover/bolts") == order.index("fasten cover/bolts") + 1


ARM = """
machine: An arm on a spring, invented
positions: {front: {}}
tools: {strap: {drive: none}, bar: {drive: none}}
parts:
  arm: {joints: {JOINTS}}
"""


@pytest.mark.parametrize("turned", [False, True])
def test_a_spring_is_let_go_before_its_arm_and_hooked_in_after_it(turned):
    joints = ["pivot: {kind: bolt, tool: bar}", "spring: {kind: spring, tool: strap}"]
    text = ARM.replace("JOINTS", ", ".join(joints[::-1] if turned else joints))
    way_in, back = map(names, there_and_back(text, [("off", "arm")], practice=Practice.ALL))
    assert way_in == ["undo arm/spring", "undo arm/pivot", "remove arm"]
    assert back == ["fit arm", "fasten arm/pivot", "fasten arm/spring"]


ENGINE = """
machine: An engine that hangs while it is fitted, invented
positions: {left: {}}
tools: {strop: {drive: none}}
tasks: {hang: {carries: [engine], tool: strop, undo: {}}}
parts:
  lid: {joints: {catch: {kind: clip, tool: hand}}}
  tank: {behind: [lid], joints: {line: {kind: hose, tool: hand}}}
  rail: {joints: {bolt: {kind: bolt, head: 16, torque: 20 N.m}}}
  engine: {weight: 38 kg, behind: [tank], joints: {feet: {kind: bolt, head: 16, torque: 40 N.m}}}
"""
LATE = (
    "fit rail, fasten rail/bolt, task hang, fit engine, fasten engine/feet, torque engine/feet, "
    "torque rail/bolt, fit tank, fasten tank/line, restore hang, fit lid, fasten lid/catch"
)

BROOM = """
machine: A broom on two bearings, invented
positions: {near: {}, far: {}}
parts:
  bin: {from: far, joints: {hook: {kind: clip, tool: hand}}}
  broom:
    from: far
    weight: 22 kg
    joints: {near: {kind: bolt, head: 13, from: near}, far: {kind: bolt, head: 16}}
"""
HALF = "undo broom/near, undo bin/hook, remove bin, undo broom/far, remove broom"


@pytest.mark.parametrize(
    ("text", "off", "given", "joined"),
    [
        (ENGINE, ("engine", "rail"), LATE, "torque rail/bolt, restore hang, fit tank"),
        (BROOM, ("bin", "broom"), HALF, "undo broom/near, undo broom/far, remove broom"),
    ],
    ids=["a strop is off when its load is fast", "nobody leaves a broom on one of its bearings"],
)
def test_an_order_that_costs_the_same_is_put_right(text, off, given, joined):
    plans = there_and_back(text, [("off", part) for part in off], practice=Practice.ALL)
    for plan, job, changes in both_jobs(*plans):
        order = tuple(given.split(", "))
        if set(order) == set(job.operations):
            step = -1 if job.back else 1
            found = at_once(job, plan.practice.kept, order[::step], changes)
            assert joined in ", ".join(found[::step])
            assert totals_of(job, found, changes).no_worse(totals_of(job, order[::step], changes))
            return
    raise AssertionError("the order is of neither way")
