"""In what state a machine is left after each step."""

import pytest

from sequencer.graph.targets import parse_targets
from sequencer.machine.reading import read_text
from sequencer.plan.hazards.stops import Left, Verdict, stops
from sequencer.plan.practice.rules import Practice
from sequencer.plan.refit import plan_refit
from sequencer.plan.teardown import plan_teardown


def plans(parts, rest="", off="inner", practice=Practice.NONE):
    reading = read_text(f"machine: m\n{rest}\nparts:\n{parts}")
    assert reading.machine is not None, [str(fault) for fault in reading.faults]
    into = plan_teardown(reading.machine, parse_targets(reading.machine, [off]), practice=practice)
    return into, plan_refit(into, practice=practice)


def left_after(plan, name, before=False):
    """What is left loose right after the step of that name, or right before it."""
    number = next(step.number for step in plan.steps if step.operation.name == name)
    stop = stops(plan)[number - 1 if before else number]
    return {(one.left, one.subject) for one in stop.loose}, stop


COVERED = """
  cover:
    joints: {top: {kind: bolt, count: 2}, plug: {kind: connector}}
  inner: {behind: [cover], joints: {b: {kind: bolt}}}
"""


def test_before_the_first_and_after_the_last_step_all_is_well():
    for plan in plans(COVERED):
        assert stops(plan)[0].safe
        assert stops(plan)[-1].safe
        assert len(stops(plan)) == len(plan.steps) + 1


def test_a_part_with_its_bolts_undone_is_half_out_until_it_is_off():
    into, back = plans(COVERED)
    assert left_after(into, "undo cover/top")[0] == {(Left.HALF_OUT_LIGHT, "cover")}
    assert not left_after(into, "undo cover/top")[1].safe
    assert left_after(into, "remove cover")[0] == set()
    assert (Left.HALF_OUT_LIGHT, "cover") in left_after(back, "fit cover")[0]


def test_a_connector_alone_does_not_leave_a_part_hanging():
    into, _ = plans("  a: {joints: {plug: {kind: connector}, bolt: {kind: bolt, behind: [a/plug]}}}", off="a")
    assert left_after(into, "undo a/plug")[1].safe


@pytest.mark.parametrize(("weight", "state"), [("4 kg", Left.HALF_OUT_LIGHT), ("5 kg", Left.HALF_OUT)])
def test_a_heavy_part_that_hangs_weighs_more(weight, state):
    into, _ = plans(f"  a: {{weight: {weight}, joints: {{b: {{kind: bolt}}}}}}", off="a")
    assert left_after(into, "undo a/b")[0] == {(state, "a")}


TASK = "tasks: {{t: {{label: {label}, before: [a], undo: {undo}}}}}"


@pytest.mark.parametrize(
    ("label", "undo", "held"),
    [
        ("Prop the engine up", "{time: 1 min}", True),
        ("Set it on stands with the jack", "{time: 1 min}", None),
        ("Prop the bonnet", "null", False),
        ("Mark the shaft", "{time: 1 min}", False),
    ],
)
def test_what_is_propped_is_not_left_unless_stands_hold_it(label, undo, held):
    rest = (
        TASK.format(label=label, undo=undo)
        if undo != "null"
        else f"tasks: {{t: {{label: {label}, before: [a]}}}}"
    )
    into, back = plans("  a: {joints: {b: {kind: clip}}}", rest, off="a")
    found, stop = left_after(into, "task t")
    assert ((Left.HELD_UP, "t") in found) is bool(held)
    assert ((Left.STOOD_ON, "t") in found) is (held is None)
    assert stop.safe is (held is False)
    assert stops(back)[-1].safe


@pytest.mark.parametrize(("label", "held"), [("Strap wrench round it", False), ("Strap to the beam", True)])
def test_what_holds_against_a_torque_alone_holds_no_load(label, held):
    rest = f"tasks: {{t: {{label: {label}, serves: [a/b], undo: {{time: 1 min}}}}}}"
    into, _ = plans("  a: {joints: {b: {kind: nut}}}", rest, off="a", practice=Practice.ALL)
    assert ((Left.HELD_UP, "t") in left_after(into, "task t")[0]) is held


def test_what_is_live_with_its_guard_off_is_isolated_again_before_it_is_left():
    run = "run: {only: back, behind: [isolate], back_before: [cover]}"
    rest = f"first: [isolate]\ntasks: {{isolate: {{undo: {{}}}}, {run}}}"
    into, back = plans(COVERED, rest, practice=Practice.ALL)
    assert left_after(into, "task isolate")[1].safe
    assert (Left.LIVE, "isolate") not in left_after(back, "restore isolate", before=True)[0]
    for name in ("restore isolate", "task run"):
        left, stop = left_after(back, name)
        assert left == {(Left.LIVE, "isolate")}
        assert stop.verdict is Verdict.LOOK
    assert stops(back)[-1].safe


WET = """
  a:
    weight: 1 kg
    joints: {hose: {kind: hose, wet: [oil]}, pipe: {kind: union, wet: [oil], behind: [a/hose]}}
"""


def test_a_system_that_is_half_open_is_plugged_before_it_is_left_and_to_be_minded_after():
    into, back = plans(WET, "fluids: {oil: {volume: 1 L}}", off="a")
    assert left_after(into, "drain oil")[0] == {(Left.DRAINED, "oil")}
    half, stop = left_after(into, "undo a/hose")
    assert half == {(Left.FLUID_HALF_OPEN, "oil")}
    assert stop.verdict is Verdict.LOOK
    opened, stop = left_after(into, "undo a/pipe")
    assert opened == {(Left.FLUID_OPEN, "oil")}
    assert stop.safe
    assert (Left.FLUID_HALF_OPEN, "oil") in left_after(back, "fasten a/pipe")[0]


@pytest.mark.parametrize("fluid", ["feed: {label: Diesel fuel}", "petrol: {}", "heating-gas: {}"])
def test_nobody_leaves_fuel_half_open(fluid):
    name = fluid.partition(":")[0]
    into, _ = plans(WET.replace("oil", name), f"fluids: {{{fluid}}}", off="a")
    half, stop = left_after(into, "undo a/hose")
    assert half == {(Left.FUEL_HALF_OPEN, name)}
    assert stop.verdict is Verdict.UNSAFE


def test_nobody_leaves_between_filling_and_the_look_for_leaks():
    _, back = plans(WET, "fluids: {oil: {volume: 1 L}}", off="a")
    _, stop = left_after(back, "fill oil")
    assert stop.forbidden
    assert not left_after(back, "leak-check oil")[1].forbidden


def test_nobody_leaves_while_a_sealant_is_wet():
    parts = "  a: {sealant: {kind: rtv, assemble_within: 10 min, cure: 1 h}, joints: {b: {kind: bolt}}}"
    reading = read_text(f"machine: m\nparts:\n{parts}")
    if reading.machine is None:
        parts = parts.replace("kind: rtv", "kind: silicone")
    _, back = plans(parts, off="a")
    assert left_after(back, "seal a")[1].forbidden
    assert not stops(back)[back.holds[0].after_step].forbidden


def test_nobody_leaves_between_the_bead_and_the_torque():
    bead = "{kind: rtv, assemble_within: 5 min, cure: 1 h}"
    _, back = plans(f"  a: {{sealant: {bead}, joints: {{b: {{kind: bolt, torque: 9 N.m}}}}}}", off="a")
    assert all(left_after(back, name)[1].forbidden for name in ("seal a", "fit a", "fasten a/b"))
    assert left_after(back, "torque a/b")[1].safe


def test_a_joint_is_only_snug_until_its_torque():
    _, back = plans("  a: {joints: {b: {kind: bolt, torque: 9 N.m}}}", off="a")
    snug, stop = left_after(back, "fasten a/b")
    assert (Left.SNUG, "a/b") in snug
    assert stop.safe
    assert left_after(back, "torque a/b")[0] == set()


def test_an_eased_part_is_to_be_minded():
    parts = """
  a: {joints: {b: {kind: nut}}, loose: {joints: [b]}}
  inner: {behind: [{a: loose}], joints: {c: {kind: clip}}}
"""
    into, _ = plans(parts)
    eased, stop = left_after(into, "loosen a")
    assert (Left.EASED, "a") in eased
    assert stop.safe


def verdicts(plan):
    return [stop.verdict for stop in stops(plan)]


TUB = """
  tub:
    weight: 24 kg
    joints: {springs: {kind: spring, count: 4}, hose: {kind: hose}, lead: {kind: connector}}
"""
CRATE = "tasks: {crate: {label: Slide a crate under the tub, CARRIES before: [tub/springs], undo: {}}}"


def test_a_tub_off_its_springs_is_not_safe_to_leave_on_a_crate():
    """A spring carries; a crate holds the tub as long as nobody leaves it alone."""
    into, _ = plans(TUB, CRATE.replace("CARRIES ", ""), off="tub")
    assert left_after(into, "undo tub/springs")[0] == {(Left.HALF_OUT, "tub")}
    into, back = plans(TUB, CRATE.replace("CARRIES", "carries: [tub],"), off="tub")
    held, stop = left_after(into, "undo tub/springs")
    assert held == {(Left.HELD_UP, "crate")}
    assert stop.verdict is Verdict.UNSAFE
    assert left_after(into, "remove tub")[1].safe
    assert left_after(back, "fit tub")[0] == {(Left.HELD_UP, "crate")}
    assert left_after(back, "fasten tub/springs")[1].safe


@pytest.mark.parametrize("kind", ["spring", "strap", "hook", "bolt", "nut", "pin", "fastener"])
def test_what_hangs_by_its_only_bearing_joint_comes_down_without_it(kind):
    into, _ = plans(
        f"  a: {{weight: 12 kg, joints: {{b: {{kind: {kind}, tool: hand}}, c: {{kind: hose}}}}}}", off="a"
    )
    assert left_after(into, "undo a/b")[1].verdict is Verdict.UNSAFE


def test_a_heavy_part_that_nothing_bears_any_more_needs_a_hand_whatever_held_it():
    into, _ = plans("  a: {weight: 12 kg, joints: {b: {kind: clip}, c: {kind: connector}}}", off="a")
    assert verdicts(into) == [Verdict.SAFE, Verdict.LOOK, Verdict.UNSAFE, Verdict.SAFE]


@pytest.mark.parametrize(
    ("about", "left"),
    [
        ("", Left.LAID_ASIDE),
        ("tie: to the subframe,", None),
        ("hold: false,", None),
        ("weight: 1 kg,", Left.LAID_ASIDE),
    ],
)
def test_a_part_that_is_moved_aside_is_looked_at_unless_it_is_known_how_it_is_held(about, left):
    parts = f"  a: {{{about} joints: {{b: {{kind: bolt}}}}, aside: {{joints: [b]}}}}\n"
    into, back = plans(f"{parts}  inner: {{behind: [{{a: aside}}], joints: {{c: {{kind: clip}}}}}}")
    for found, stop in (left_after(into, "move-aside a"), left_after(back, "move-back a", before=True)):
        assert found == ({(left, "a")} if left else set())
        assert stop.verdict is (Verdict.LOOK if left else Verdict.SAFE)


def test_a_light_part_is_laid_aside_without_a_word():
    parts = "  a: {weight: 1 kg, joints: {b: {kind: clip}}, aside: {joints: [b]}}\n"
    into, _ = plans(f"{parts}  inner: {{behind: [{{a: aside}}], joints: {{c: {{kind: clip}}}}}}")
    assert left_after(into, "move-aside a")[1].safe


def test_a_part_that_stays_by_itself_may_be_left_on_its_studs_and_is_minded():
    into, _ = plans("  a: {weight: 9 kg, hold: false, joints: {b: {kind: nut}, c: {kind: hose}}}", off="a")
    found, stop = left_after(into, "undo a/b")
    assert found == {(Left.EASED, "a")}
    assert stop.safe


def test_where_a_job_leaves_some_fasteners_out_the_others_are_looked_at():
    parts = "  a: {joints: {b: {kind: bolt}, c: {kind: bolt}}}\n"
    into, _ = plans(f"{parts}  inner: {{behind: [a/b], joints: {{c: {{kind: clip}}}}}}")
    assert left_after(into, "undo a/b")[0] == {(Left.PARTLY_OUT, "a")}


def test_what_no_joint_holds_is_looked_at_once_what_trapped_it_is_off():
    parts = "  drum: {weight: 12 kg, trapped_by: [lid]}\n  lid: {joints: {b: {kind: bolt}}}"
    into, back = plans(parts, off="drum")
    assert left_after(into, "remove lid")[0] == {(Left.UNHELD, "drum")}
    assert left_after(back, "fit drum")[1].verdict is Verdict.LOOK
    assert stops(into)[-1].safe


def test_what_rides_on_another_part_is_held_by_it():
    parts = """
  head: {weight: 20 kg, joints: {bolts: {kind: bolt}}}
  manifold: {weight: 8 kg, rides: {on: head, with: [nuts]}, joints: {nuts: {kind: nut}, pipe: {kind: nut}}}
"""
    into, _ = plans(parts, off="head")
    found, _ = left_after(into, "undo manifold/pipe")
    assert "manifold" not in {subject for _, subject in found}


JACK = "tasks: {{jack: {{tool: jack, {about} carries: [a], undo: {{}}}}}}\ntools: {{jack: {{drive: none}}}}"
LOAD = "  a: {weight: 40 kg, joints: {b: {kind: bolt}, c: {kind: connector}}}"


@pytest.mark.parametrize(
    ("about", "verdict"),
    [
        ("", Verdict.UNSAFE),
        ("rated: true,", Verdict.SAFE),
        ("label: Set it on stands,", Verdict.LOOK),
        ("label: Lay it on a crate,", Verdict.UNSAFE),
    ],
)
def test_what_carries_a_load_may_be_left_where_it_is_known_to_be_made_for_it(about, verdict):
    into, back = plans(LOAD, JACK.format(about=about), off="a")
    assert left_after(into, "task jack")[1].safe  # its bolts hold it still
    assert left_after(into, "undo a/b")[1].verdict is verdict
    assert left_after(into, "remove a")[1].safe  # the load is off: it holds nothing
    assert left_after(back, "fit a")[1].verdict is verdict


def test_the_mount_of_a_load_counts_as_its_own_joint():
    parts = f"{LOAD}\n  mount: {{joints: {{stud: {{kind: stud}}}}}}"
    into, _ = plans(parts, JACK.format(about="before: [mount],"), off="mount")
    assert (Left.HELD_UP, "jack") in left_after(into, "undo mount/stud")[0]
    assert stops(into)[-1].verdict is Verdict.UNSAFE  # the mount is off, and the jack has it all
