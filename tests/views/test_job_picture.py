"""The picture of a job as it stands: what is off, what is next, what is in hand, on both ways."""

import re
from datetime import date

import pytest

from sequencer.document.barring.progress import barring_now
from sequencer.document.barring.things import Stage
from sequencer.graph.operations import Kind
from sequencer.job.changes.finds import Find
from sequencer.job.desk import Desk
from sequencer.job.reports.status import status
from sequencer.render.pictures.barring.pages import scenes
from sequencer.render.pictures.barring.scene import Stroke, Text
from sequencer.render.pictures.sketches import sketch_now
from tests.bench.conftest import make_job
from tests.job.through import begun
from tests.support.profile import before_landing
from tests.views.picture_checker import faults_in


@pytest.fixture(scope="module")
def stood(tmp_path_factory):
    """The pump's job in the middle of its way in, at its end, just turned, and halfway back."""
    folder = tmp_path_factory.mktemp("stood") / "job"
    make_job(folder)
    moments = []
    with Desk.open(folder) as desk:
        desk.done(f"1-{desk.moment().state.numbers['undo cover/bolts']}")
        moments.append(desk.moment())
        desk.done([op for _, op in desk.moment().state.left])
        desk.turn()
        moments.append(desk.moment())
        left = desk.moment().state.left
        for _, op in left[: len(left) // 2]:
            desk.done([op], anyway="this test has no wrench")
        moments.append(desk.moment())
    return moments


def things(moment):
    return barring_now(moment).things


def test_what_is_off_moved_or_drained_is_so_on_the_picture_and_nothing_else(stood):
    """Held against what the job's status says."""
    for moment in stood:
        told, gone = status(moment), {key for key, one in things(moment).items() if one.gone}
        away = {*told.off, *told.moved}
        assert {key for key in gone if key in away} == away
        for key in (gone - away) & moment.machine.parts.keys():  # it stays, with all its joints open
            assert all(row.gone for row in things(moment)[key].rows), key
        assert {f"drain {fluid}" for fluid in told.fluids} <= gone
        bags = {bag.number for bag in told.bags}
        said = " ".join(one.told for one in things(moment).values())
        assert {int(number) for number in re.findall(r"\d+", said)} == bags


def test_what_is_next_is_the_next_station_and_what_is_begun_is_in_hand(stood):
    begun, turned, back = map(things, stood)
    wanted = {step.operation.part for step in stood[0].station.steps}
    assert {key for key, one in begun.items() if one.stage is Stage.NEXT} == wanted
    assert {key for key, one in begun.items() if one.stage is Stage.IN_HAND} == {"pulley"}
    assert begun["guard"].stage is Stage.AWAY
    assert [row.gone for row in begun["guard"].rows] == [True]
    assert begun["seal"].stage is Stage.AHEAD
    assert all(one.stage in (Stage.AWAY, Stage.NEXT, Stage.AHEAD) for one in turned.values())
    assert Stage.BACK in {one.stage for one in back.values()}
    assert back["seal"].told == "as it was"


def test_on_the_way_back_the_numbers_are_those_of_the_way_back(stood):
    _, turned, _ = stood
    numbers = turned.state.numbers
    cover = things(turned)["cover"]
    assert cover.number == str(numbers[Kind.FIT.of("cover")])
    (row,) = cover.rows
    assert row.numbers.split() == [
        str(numbers[Kind.FASTEN.of("cover", "bolts")]),
        str(numbers[Kind.TORQUE.of("cover", "bolts")]),
    ]


@before_landing
def test_it_is_told_apart_in_black_and_white_and_in_its_legend(stood):
    for moment, legend in zip(
        stood, ("off, undone, drained or done", *["not back yet: off, undone, drained"] * 2), strict=True
    ):
        picture = barring_now(moment)
        pages = scenes(picture)
        assert [fault for page in pages for fault in faults_in(page)] == []
        words = [item for page in pages for item in page.everything() if isinstance(item, Text)]
        assert legend in [one.words for one in words]
        assert [one.words for one in words if one.light].count("next") == 1 + sum(
            one.stage is Stage.NEXT for one in picture.things.values()
        )
        boxes = {group.key.partition("@")[0]: group for page in pages for group in page.groups}
        for key, one in picture.things.items():
            if key in moment.machine.parts:
                black = any(isinstance(item, Stroke) and item.filled for item in boxes[key].items)
                assert black is (one.gone or any(row.gone for row in one.rows) or one.stage is Stage.NEXT), (
                    key
                )


def test_its_text_for_graphviz_says_the_same(stood):
    (text,) = sketch_now(stood[0], "dot", date(2026, 12, 5))
    assert r"3 Belt guard\loff, bag 1\l" in text.decode()


FOUND_LATE = """
machine: Mill, invented
parts:
  hopper: {joints: {nuts: {kind: nut, head: 10}}}
  shoe: {behind: [hopper], joints: {screws: {kind: screw, head: T25}}}
"""


def test_what_was_in_the_way_of_something_that_is_off_by_now_is_drawn(tmp_path):
    """Nothing that is known can be done before that joint any more."""
    with begun(tmp_path, FOUND_LATE, ["shoe"]) as desk:
        desk.done(["undo hopper/nuts", "remove hopper"])
        desk.found(Find("sock", {"blocks": ("hopper",)}, held=("clamp 7",)), date(2026, 12, 5))
        assert things(desk.moment())["hopper"].gone
