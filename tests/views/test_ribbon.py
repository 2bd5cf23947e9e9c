"""The ribbon of a plan: nothing meets what it should not, every station and gate of a way is in it."""

from datetime import date
from itertools import pairwise

import pytest

from sequencer.machine.reading import read_text
from sequencer.render.pictures.barring.scene import Stroke, Text
from sequencer.render.pictures.ribbon import ribbon
from tests.views.paper_jobs import job, odd, pump, van, van_in_sittings
from tests.views.picture_checker import faults_in

ONE = "machine: One part\nparts:\n  lid: {label: Lid, joints: {b: {kind: bolt, head: 10, torque: 9 N·m}}}\n"
JOBS = {
    "pump": pump,
    "van": van,
    "sittings": van_in_sittings,
    "one part": lambda: job(read_text(ONE).machine, "lid", on=date(2026, 12, 5)),
}


@pytest.mark.parametrize("name", JOBS)
def test_each_station_and_gate_stands_once_and_free(name):
    whole = JOBS[name]()
    for plan in whole.ways:
        pages = ribbon(whole, plan)
        assert [fault for page in pages for fault in faults_in(page)] == []
        boxes = [group for page in pages for group in page.groups]
        last = [station.steps[-1].number for station in plan.stations]
        assert [group.key for group in boxes] == [f"{'B' if plan.back else 'A'}{n}" for n in last]
        told = " ".join(i.words for g in boxes for i in g.items if isinstance(i, Text))
        gates = {gate.step for gate in getattr(plan, "gates", ())}
        gated = [one for one in plan.stations if gates & {step.number for step in one.steps}]
        assert told.count("gate at") == len(gated)


def test_a_walk_is_told_from_another_tool():
    whole = pump()
    for plan in whole.ways:
        (page,) = ribbon(whole, plan)
        signs = [one for one in page.items if isinstance(one, Stroke) and len(one.points) == 3][2:]
        places = [station.position for station in plan.stations]
        assert [one.filled for one in signs] == [True, *(a != b for a, b in pairwise(places))]


@pytest.mark.parametrize("name", ["long", "hebrew", "chinese"])
def test_no_name_runs_out_of_its_box(name):
    whole = odd(name)
    pages = [page for plan in whole.ways for page in ribbon(whole, plan)]
    assert [fault for page in pages for fault in faults_in(page)] == []
