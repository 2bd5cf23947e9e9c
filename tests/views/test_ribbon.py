"""The ribbon of a plan: nothing meets what it should not, every station and gate of a way is in it."""

from dataclasses import replace
from datetime import date
from itertools import pairwise

import pytest

from sequencer.document.plans.both_ways import PaperJob
from sequencer.document.plans.crew_bars import bars
from sequencer.engine.crew import CrewLimits
from sequencer.graph import derive
from sequencer.graph.targets import parse_targets
from sequencer.machine.reading import read_text
from sequencer.plan.crew.crew import plan_schedule
from sequencer.plan.order.replay import teardown_of
from sequencer.plan.order.setups import Changes
from sequencer.render.pictures.barring.scene import Stroke, Text
from sequencer.render.pictures.ribbon import ribbon
from sequencer.render.pictures.ribbon_people import people_ribbon
from tests.support.profile import before_landing
from tests.views.paper_jobs import job, odd, pump, van, van_in_sittings
from tests.views.picture_checker import faults_in

ONE = "machine: One part\nparts:\n  lid: {label: Lid, joints: {b: {kind: bolt, head: 10, torque: 9 N·m}}}\n"
JOBS = {
    "pump": pump,
    "van": van,
    "pump, sittings": lambda: pump(20),
    "van, sittings": van_in_sittings,
    "one part": lambda: job(read_text(ONE).machine, "lid", on=date(2026, 12, 5)),
}


def many_parts():
    """300 parts, each behind the one before it, at seven places; invented, and planned without a search."""
    places = ", ".join(f"at{n}: {{label: At opening {n} of the frame}}" for n in range(7))
    parts = "".join(
        f"  p{n}: {{label: Part number {n}, from: at{n // 3 % 7}{f', behind: [p{n - 1}]' if n else ''}, "
        f"joints: {{b: {{kind: bolt, head: {8 + n % 9}, count: {1 + n % 4}}}}}}}\n"
        for n in range(300)
    )
    machine = read_text(f"machine: Large one\npositions: {{{places}}}\nparts:\n{parts}").machine
    order = [op for n in range(300) for op in (f"undo p{n}/b", f"remove p{n}")]
    graph = derive(machine)
    into = teardown_of(graph, parse_targets(machine, ["p299"]), order, Changes.of(machine), opens=False)
    return PaperJob(into, None, date(2026, 12, 5))


JOBS["300 parts"] = many_parts
LARGE = {"300 parts", "van, sittings"}


@pytest.mark.parametrize(
    "name", [pytest.param(one, marks=[before_landing] if one in LARGE else []) for one in JOBS]
)
def test_each_station_and_gate_stands_once_and_free(name):
    whole = JOBS[name]()
    for plan in whole.ways:
        pages = ribbon(whole, plan)
        assert [
            fault for page in (pages[::7] if name == "300 parts" else pages) for fault in faults_in(page)
        ] == []
        boxes = [group for page in pages for group in page.groups]
        last = [station.steps[-1].number for station in plan.stations]
        assert [group.key for group in boxes] == [f"{'B' if plan.back else 'A'}{n}" for n in last]
        told = " ".join(i.words for g in boxes for i in g.items if isinstance(i, Text))
        gates = {gate.step for gate in getattr(plan, "gates", ())}
        gated = [one for one in plan.stations if gates & {step.number for step in one.steps}]
        assert told.count("gate at") == len(gated)


def test_a_walk_is_told_from_another_tool_and_names_the_place():
    whole = pump()
    for plan in whole.ways:
        (page,) = ribbon(whole, plan)
        signs = [one for one in page.items if isinstance(one, Stroke) and len(one.points) == 3][2:]
        places = [station.position for station in plan.stations]
        walks = [True, *(a != b for a, b in pairwise(places))]
        assert [one.filled for one in signs] == walks
        told = [" ".join(i.words for i in group.items if isinstance(i, Text)) for group in page.groups]
        labels = [plan.machine.positions[place].label for place in places]
        assert [label in words for label, words in zip(labels, told, strict=True)] == walks


def test_a_job_under_way_shows_what_is_done_and_what_is_next():
    whole = pump()
    into, back = whole.ways
    done = [step.operation.name for station in into.stations[:4] for step in station.steps]
    begun = replace(whole, ticked={False: dict.fromkeys(done, "done"), True: {}})
    all_in = dict.fromkeys((op.name for op in into.operations), "done")
    turned = replace(whole, ticked={False: all_in, True: {back.steps[0].operation.name: "done"}})
    for job_now, plan, first, upcoming in (
        (begun, into, 4, True),
        (turned, back, 0, True),
        (begun, back, 0, False),
    ):
        (page,) = ribbon(job_now, plan)
        assert list(faults_in(page)) == []
        white = [[i.words for i in g.items if isinstance(i, Text) and i.light] for g in page.groups]
        assert all(
            words and words[0].startswith(g.key) for words, g in zip(white[:first], page.groups, strict=False)
        )
        following = [words for words in white[first:] if words]
        assert following == ([] if not upcoming else [["next"]]), (plan.back, white)
        legend = [i.words for i in page.items if isinstance(i, Text)]
        assert ("done" in legend) is bool(first)
        assert ("the next station" in legend) is bool(following)


@pytest.mark.parametrize("name", ["long", "hebrew", "chinese"])
def test_no_name_runs_out_of_its_box(name):
    whole = odd(name)
    pages = [page for plan in whole.ways for page in ribbon(whole, plan)]
    assert [fault for page in pages for fault in faults_in(page)] == []


@pytest.mark.parametrize(("name", "people"), [("one part", 9), pytest.param("pump", 3, marks=before_landing)])
def test_each_person_has_a_band_with_all_that_they_do_and_their_waits(name, people):
    whole = JOBS[name]()
    shared = plan_schedule(whole.into, people, CrewLimits(work=0.02), handles=2)
    named = replace(whole, people=("Ada", "Bo"), ticked={False: {whole.into.steps[0].operation.name: "done"}})
    pages = people_ribbon(named, shared)
    assert [fault for page in pages for fault in faults_in(page)] == []
    words = [i.words for page in pages for i in page.everything() if isinstance(i, Text)]
    boxes = [[i.words for i in g.items if isinstance(i, Text)] for page in pages for g in page.groups]
    begun = [told for told in boxes if not told[0].endswith("goes on")]
    codes = {f"A{station.steps[-1].number}" for station in whole.into.stations}
    assert {code for page in pages for g in page.groups for code in g.key.split(", ")} == codes
    waited = sum(
        bar.visits[0].wait_seconds > 0 for n in range(people) for bar in bars(shared, n) if bar.visits
    )
    assert sum(any(line.startswith("waits ") for line in told) for told in begun) == waited
    assert ("waiting" in words) is any(i.dash for page in pages for i in page.items if isinstance(i, Stroke))
    assert sum("next" in told for told in begun) <= sum(map(bool, shared.visits))
    assert "done" in words
    assert {"Ada", "Bo"} & set(words)
    assert ("Person C: nothing to do" in words) is (people > 2 and not shared.visits[2])
