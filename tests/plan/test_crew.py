"""Schedules for several people: an independent reading of the file finds no fault with them."""

import copy
import random
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

import sequencer
from sequencer.engine.crew import CrewLimits
from sequencer.errors import SequencerError
from sequencer.graph.explain import UnreachableError
from sequencer.machine.reading import read_text
from sequencer.plan.crew.crew import Schedule, plan_schedule
from sequencer.plan.crew.crew_waits import handings, together, waits
from sequencer.render.data.plans.crew import schedule_json
from tests.plan.jobs import by_hand_where_nothing_is_said, teardown
from tests.support.plain_machine import as_data, as_text, load_machine
from tests.support.profile import at_night, before_landing, counts
from tests.support.random_machines import random_machine
from tests.support.schedule_checker import check_schedule

VAN = Path(__file__).parents[2] / "models" / "delivery-van.yaml"
MUCH = counts(quick=Fraction(4, 5), landing=Fraction(2, 3), nightly=Fraction(2, 3))
LITTLE = CrewLimits(work=0.05)
OFF = [("off", counts(quick="timing-belt", landing="head", nightly="head"))]


def as_json(schedule: Schedule):
    return schedule_json(schedule)


def crowded(text: str, seed: int) -> str:
    """The machine with room, counts and people said here and there."""
    rng = random.Random(f"crew {seed}")
    machine = as_data(text)
    for position in machine["positions"].values():
        if rng.random() < 0.5:
            position["room"] = rng.randint(1, 3)
    for tool in machine["tools"].values():
        if rng.random() < 0.3:
            tool["count"] = 2
    for thing in (*machine["parts"].values(), *machine.get("tasks", {}).values()):
        if rng.random() < 0.25:
            thing["people"] = 2
    return as_text(machine)


@pytest.mark.parametrize("seed", range(counts(quick=2, landing=6, nightly=1000)))
def test_no_fault_is_found_with_a_schedule(seed):
    text, targets = random_machine(seed, 3 + seed % 6)
    text = crowded(text, seed)
    try:
        plan = teardown(text, targets)
    except UnreachableError:
        pytest.skip("this machine does not come apart")
    schedule = plan_schedule(plan, 2 + seed % 2, LITTLE, handles=1 + seed % 3 // 2)
    assert check_schedule(load_machine(text), targets, as_json(schedule)) == []
    assert schedule.bound_seconds <= schedule.seconds


@cache
def van() -> Schedule:
    return plan_schedule(teardown(VAN.read_text("utf-8"), OFF), 2, LITTLE)


@cache
def van_read_apart():
    return load_machine(by_hand_where_nothing_is_said(VAN.read_text("utf-8")))


@at_night
def test_the_van_is_shared_out_without_a_fault_in_much_less_time():
    found = as_json(van())
    assert check_schedule(van_read_apart(), OFF, found) == []
    assert van().seconds < van().plan.totals.seconds * MUCH
    assert not van().proven


@pytest.mark.usefixtures("engine_afresh")
def test_the_same_plan_is_shared_out_the_same_way():
    plan = teardown(GEARBOX.replace("ROOM", "2"), [("off", "box")])
    assert plan_schedule(plan, 2) == plan_schedule(plan, 2)


@at_night
def test_more_handles_save_time_on_the_van():
    assert plan_schedule(van().plan, 2, LITTLE, handles=2).seconds < van().seconds


@before_landing
@pytest.mark.parametrize(
    ("spoil", "fault"),
    [
        (lambda turns: turns[5].update(people=["A", "B"]), "takes 1"),
        (lambda turns: turns[-1].update(start=0, end=900), "starts before"),
        (lambda turns: turns[20].update(end=turns[20]["end"] + 1), "lasts"),
        (lambda turns: [turn.update(people=["A"]) for turn in turns], "away"),
        (lambda turns: turns.pop(), "not the steps"),
    ],
)
def test_the_checker_finds_what_is_wrong(spoil, fault):
    found = copy.deepcopy(as_json(van()))
    spoil(found["schedule"]["turns"])
    assert any(fault in said for said in check_schedule(van_read_apart(), OFF, found))


GEARBOX = """
machine: Bench gearbox
positions: {bench: {room: ROOM}, far: }
tools: {bar: {drive: none}}
pace: {pick_up: 1, put_down: 1, walk: 5}
parts:
  lid: {time: 10, joints: {screws: {kind: bolt, tool: bar, time: 30}}}
  box: {people: 2, time: 60, behind: [lid], joints: {clip: {kind: clip, tool: hand, from: far, time: 20}}}
"""


@pytest.mark.parametrize("room", ["1", "2"])
def test_a_lift_has_two_people_at_once_whatever_the_room(room):
    text = GEARBOX.replace("ROOM", room)
    schedule = plan_schedule(teardown(text, [("off", "box")]), 2)
    assert schedule.proven
    (lift,) = together(schedule)
    assert lift.step.operation.name == "remove box"
    assert sorted(lift.people) == [0, 1]
    assert check_schedule(load_machine(text), [("off", "box")], as_json(schedule)) == []
    # One undoes the screws and goes to the clip while the other takes the lid off.
    assert schedule.seconds == 1 + 30 + 10 + 20 + 5 + 60


def test_a_lift_for_more_people_than_there_are_is_refused():
    text = GEARBOX.replace("ROOM", "1").replace("people: 2", "people: 3")
    with pytest.raises(
        SequencerError, match=r"machine.yaml:8: remove box takes 3 people; plan with --people 3"
    ):
        plan_schedule(teardown(text, [("off", "box")]), 2)


TWO_TOOLS = """
machine: Two lids
positions: {left: , right: }
tools: {wrench: {drive: none, count: COUNT}}
parts:
  a: {time: 0, from: left, joints: {nuts: {kind: nut, tool: wrench, time: 100}}}
  b: {time: 0, from: right, joints: {nuts: {kind: nut, tool: wrench, time: 100}}}
"""


def test_one_wrench_goes_from_hand_to_hand_and_two_do_not():
    one = plan_schedule(teardown(TWO_TOOLS.replace("COUNT", "1"), [("off", "a"), ("off", "b")]), 2)
    assert one.seconds == 8 + 100 + 4 + 8 + 100  # put down and picked up: less than the walk
    (handed,) = handings(one)
    assert (handed.thing.kind, handed.thing.name, handed.person == handed.of) == ("tool", "wrench", False)
    two = plan_schedule(teardown(TWO_TOOLS.replace("COUNT", "2"), [("off", "a"), ("off", "b")]), 2)
    assert two.seconds == 8 + 100 + 4
    assert handings(two) == ()


@before_landing
def test_who_waits_is_told_for_what_and_not_twice():
    found = waits(van())
    assert all(wait.after < wait.turn and wait.of != wait.person for wait in found)
    work = [(wait.person, wait.of, wait.after) for wait in found if wait.thing is None]
    assert len(work) == len(set(work))
    for one, other in ((0, 1), (1, 0)):
        told = [after for person, of, after in work if (person, of) == (one, other)]
        assert told == sorted(told)


HELPED = """
machine: Mixer
tools: {peg: {drive: none}, puller: {drive: none}}
positions: {front: {room: 2}}
tasks: {peg: {tool: peg, time: 30, serves: [carrier/nut], undo: {time: 30}}}
parts:
  bowl: {joints: {pins: {kind: latch, time: 600}}}
  carrier:
    behind: [bowl]
    joints:
      nut: {kind: nut, head: 36, time: 60}
      taper: {kind: taper, tool: puller, behind: [carrier/nut], time: 60}
"""


def test_a_helper_goes_on_when_it_is_needed_and_stays_on_no_part_that_comes_off():
    machine = read_text(HELPED, "machine.yaml").machine
    schedule = plan_schedule(sequencer.plan_removal(machine, off="carrier"), 2)
    at = {turn.step.operation.name: turn for turn in schedule.turns}
    assert at["remove bowl"].end <= at["task peg"].start
    assert at["restore peg"].end <= at["undo carrier/taper"].start


BELOW = """
machine: Splitter
positions: {side: {}, under: {below: true}}
tools: {hoist: {drive: none}}
tasks: {sling: {tool: hoist, time: 60, carries: [engine], undo: {time: 60}}}
parts:
  engine: {weight: 26 kg, joints: {feet: {kind: bolt, head: 13, time: 600}}}
  hose: {from: under, joints: {ends: {kind: clamp, tool: hand, time: 300}}}
"""


def test_nobody_is_below_while_another_has_a_weight_in_the_sling():
    machine = read_text(BELOW, "machine.yaml").machine
    schedule = plan_schedule(sequencer.plan_removal(machine, off=["engine", "hose"]), 2)
    at = {turn.step.operation.name: turn for turn in schedule.turns}
    below = [at["undo hose/ends"], at["remove hose"]]
    clear = [one.end <= at["task sling"].start or one.start >= at["restore sling"].end for one in below]
    assert clear == [True, True]
