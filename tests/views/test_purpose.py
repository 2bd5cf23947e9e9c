"""What a part is moved for: half a line, on the sheet, and elsewhere where it is asked for."""

from io import StringIO

import pytest
from rich.console import Console

from sequencer.document.plans.plan import teardown_document
from sequencer.document.steps.purpose import closings, purposes
from sequencer.graph.operations import REACHES
from sequencer.render.sheet.stations import sections
from sequencer.render.terminal import show
from tests.plan.jobs import teardown, there_and_back
from tests.views.paper_jobs import VAN_OFF, pump, van

SHORT = """
machine: Purposes
positions: {bench: {label: At the bench}}
tasks: {turn: {label: Turn it over; look, time: 5, behind: [lid], before: [core]}}
parts:
  lid: {label: Lid, joints: {a: {kind: clip, time: 5}}}
  left: {label: Left, behind: [lid], joints: {a: {kind: clip, time: 5}, b: {kind: clip, time: 5}}}
  right: {label: Right, behind: [lid], joints: {a: {kind: clip, time: 5}}}
  core: {label: Core, behind: [left, right, lid], joints: {a: {kind: clip, time: 5}}}
"""


def printed(plan, **more):
    stream = StringIO()
    show(teardown_document(plan, **more), Console(file=stream, width=100, color_system=None))
    return stream.getvalue()


@pytest.fixture(scope="module")
def said():
    plan = teardown(SHORT, [("off", "core")])
    found = purposes(plan)
    return {step.operation.subject: found.get(step.number) for step in plan.steps}


def test_a_purpose_names_what_waits_for_the_part_itself_two_at_most(said):
    assert said["lid"] == "to reach Left, Right: a; for: Turn it over"
    assert said["left"] == said["right"] == "to reach Core: a"


def test_an_undoing_has_no_purpose_of_its_own_and_the_target_none_at_all(said):
    assert said["lid/a"] is None
    assert said["core"] is None


def test_every_part_of_the_van_that_is_moved_but_the_target_has_one_in_a_line():
    plan = van().into
    found = purposes(plan)
    moves = [step for step in plan.steps if step.operation.kind in REACHES]
    renewed = {part for fluid in plan.machine.fluids.values() for part in fluid.with_parts}
    assert {step.operation.part for step in moves if step.number not in found} <= {VAN_OFF, *renewed}
    assert max(map(len, found.values())) <= 110


def test_the_terminal_says_it_where_asked_and_no_bookkeeping_otherwise():
    plan = pump().into
    assert "to reach" in printed(plan, why=True)
    plain = printed(plan)
    assert not [word for word in ("to reach", "to free", "\n      opens", "\n      frees") if word in plain]


def test_the_sheet_says_it():
    stations = [station for one in sections(pump()) for station in one["stations"]]
    said = {step["purpose"] for station in stations for step in station["steps"]}
    assert {"to reach Pump cover: bolts", "closes off Pump cover: bolts"} <= said


def test_each_part_that_is_put_back_says_what_it_closes_off():
    _, way_back = there_and_back(SHORT, [("off", "core")])
    found = closings(way_back)
    told = {step.operation.subject: found.get(step.number) for step in way_back.steps if step.operation.part}
    assert told["left"] == told["right"] == "closes off Core: a"
    assert told["lid"] == "closes off Left, Right: a, Turn it over"
    assert told["core"] is None
