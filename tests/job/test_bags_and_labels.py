"""Which joints get a bag, and which could be put back in the wrong place."""

from dataclasses import replace

import pytest

from sequencer.job.now.bags import numbered
from sequencer.job.now.label_pairs import labels
from tests.plan.jobs import machine_of
from tests.support.profile import before_landing

TEXT = """
machine: Invented, to be labelled
positions: {front: {label: In front}, back: {label: Behind}}
tools: {pliers: {label: Pliers}}
parts:
  loom:
    joints:
      pump:  {kind: connector}
      valve: {kind: connector}
      horn:  {kind: connector, from: back}
  cooler:
    joints:
      upper: {kind: hose}
      lower: {kind: hose}
  cover:
    joints:
      long:  {kind: bolt, head: 10, thread: M6x40, count: 2}
      short: {kind: bolt, head: 10, thread: M6, length: 20 mm, count: 4}
      same:  {kind: bolt, head: 10, thread: M6x1x20}
  lid:
    joints:
      pitch: {kind: bolt, head: 13, thread: M8x1.25}
      fine:  {kind: bolt, head: 13, thread: M8x1}
"""
ORDER = [
    "undo loom/pump", "undo cover/short", "undo loom/valve", "undo loom/horn", "undo cooler/upper",
    "undo cover/long", "undo cooler/lower", "undo lid/pitch", "undo lid/fine", "undo cover/same",
]  # fmt: skip


@pytest.fixture
def machine():
    return machine_of(TEXT)


def test_bags_count_in_the_order_of_work_and_plugs_and_hoses_need_none(machine):
    bags = numbered(machine, ORDER)
    assert {path: bag.number for path, bag in bags.items()} == {
        "cover/short": 1,
        "cover/long": 2,
        "lid/pitch": 3,
        "lid/fine": 4,
        "cover/same": 5,
    }


def test_a_number_once_given_stays_and_a_new_joint_gets_the_next_that_nothing_has(machine):
    known = {"cover/long": 7, "lid/pitch": 1, "lid/fine": 0}
    bags = numbered(machine, ORDER, known)
    assert bags["cover/long"].number == 7
    assert bags["cover/short"].number == 2
    assert "lid/fine" not in bags


def test_plugs_and_hoses_at_one_place_get_pairs_and_the_one_elsewhere_none(machine):
    found = labels(machine, ORDER)
    assert found["loom/pump"].like == ("loom/valve",)
    assert found["cooler/upper"].like == ("cooler/lower",)
    assert "loom/horn" not in found
    marks = [label.mark for label in found.values()]
    assert len(set(marks)) == len(marks)
    assert marks[:2] == ["A", "B"]


def test_bolts_of_one_head_and_thread_are_told_apart_by_their_length(machine):
    found = labels(machine, ORDER)
    assert set(found["cover/short"].like) == {"cover/long"}
    assert "another length" in found["cover/long"].why


def test_a_pitch_is_no_length(machine):
    found = labels(machine, ORDER)
    assert not {"lid/pitch", "lid/fine"} & set(found)


def test_what_the_job_leaves_alone_can_not_be_confused(machine):
    assert "loom/pump" not in labels(machine, ["undo loom/pump", "undo cover/short"])


def test_a_mark_once_given_stays(machine):
    assert labels(machine, ORDER, {"loom/valve": "Q"})["loom/valve"].mark == "Q"


def test_several_ends_in_one_joint_could_be_taken_for_each_other(machine):
    part = machine.parts["loom"]
    leads = {**part.joints, "pump": replace(part.joints["pump"], count=4)}
    alone = replace(machine, parts={**machine.parts, "loom": replace(part, joints=leads)})
    assert labels(alone, ["undo loom/pump"])["loom/pump"].like == ("loom/pump",)


@before_landing
def test_marks_do_not_run_out_and_none_is_given_twice():
    plugs = "\n".join(f"      plug-{n}: {{kind: connector}}" for n in range(660))
    machine = machine_of(
        f"machine: Loom\npositions: {{front: {{label: F}}}}\nparts:\n  loom:\n    joints:\n{plugs}\n"
    )
    found = labels(machine, [f"undo loom/plug-{n}" for n in range(660)])
    marks = [label.mark for label in found.values()]
    assert len(set(marks)) == 660
    assert marks[:2] + marks[24:26] + marks[600:601] == ["A", "B", "AA", "AB", "AAA"]
