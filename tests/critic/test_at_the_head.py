"""At the head of a plan, on the overview, on a sheet's cover: at most five lines, of what the job meets."""

from datetime import date
from pathlib import Path
from textwrap import dedent

import pytest

from sequencer import as_data, begin_job, plan_refit, plan_removal, read_machine
from sequencer.bench.access.pairing import Sessions
from sequencer.bench.app import page
from sequencer.bench.pages.look import overview_of
from sequencer.document.plans.both_ways import PaperJob
from sequencer.document.plans.critic import at_the_head, head_lines
from sequencer.machine.reading import read_text
from sequencer.render.sheet.cover import cover_data
from tests.critic.test_orders import HUNG
from tests.support.door import HERE, Door
from tests.support.profile import before_landing
from tests.support.shell import sequencer

ROOT = Path(__file__).resolve().parents[2]
MOWER = ROOT / "examples" / "guide" / "mower.yaml"
OUTBOARD = Path(__file__).parent / "beginners" / "outboard.yaml"


@pytest.fixture(scope="module")
def blade():
    return plan_removal(read_machine(MOWER), off="blade")


def codes(plan):
    return [one["code"] for one in as_data(plan)["oddities"]]


def test_a_plan_begins_with_what_its_job_meets(blade, monkeypatch):
    monkeypatch.setenv("COLUMNS", "100")
    _, said, _ = sequencer(["sequencer", "plan", str(MOWER), "--off", "blade"], monkeypatch)
    marked = [line for line in said.splitlines() if line.startswith("  ?  ")]
    assert len(marked) == len(codes(blade)) == 4
    assert marked[0].startswith("  ?  mower.yaml:6: Mower tipped on its side: what is still aboard runs out")


def test_what_the_job_does_not_touch_is_not_said():
    cover = plan_removal(read_machine(MOWER), off="cover")
    assert codes(cover) == ["no-first-run"]


def test_five_lines_are_the_most_and_the_last_says_where_the_rest_is():
    whole = plan_removal(read_machine(OUTBOARD), off=["propeller", "foot", "flywheel", "carburettor"])
    assert len(codes(whole)) > 5
    (block,) = at_the_head(whole)
    assert len(block.items) == 5
    assert block.items[-1].words == f"and {len(codes(whole)) - 4} more: sequencer check --plan {OUTBOARD}"


def test_the_worst_come_first():
    whole = plan_removal(read_machine(OUTBOARD), off=["propeller", "foot", "flywheel", "carburettor"])
    ranks = [["hurts", "costs", "awkward"].index(one["severity"]) for one in as_data(whole)["oddities"]]
    assert ranks == sorted(ranks)


def test_the_way_back_says_so_too(blade):
    assert codes(plan_refit(blade)) == codes(blade)


def test_the_way_back_does_not_speak_of_the_steps_of_the_way_in():
    machine = read_text(dedent(HUNG), "machine.yaml").machine
    way_in = plan_removal(machine, off="stack")
    assert "hung" in codes(way_in)
    assert "hung" not in codes(plan_refit(way_in))


def test_a_plan_of_a_machine_with_nothing_odd_has_no_such_lines(tmp_path):
    plain = tmp_path / "box.yaml"
    plain.write_text("machine: Box\nparts: {lid: {joints: {screws: {kind: screw, head: T25, count: 4}}}}\n")
    plan = plan_removal(read_machine(plain), off="lid")
    assert list(at_the_head(plan)) == []
    assert codes(plan) == []


def test_the_overview_of_a_job_has_the_same_lines(blade, tmp_path):
    with begin_job(tmp_path / "job", blade, people=["Ann"]) as desk:
        odd = overview_of(desk.moment(), "Ann")["odd"]
    assert [line.partition(": ")[2] for line in odd] == [
        line.partition(": ")[2] for line in head_lines_of(blade)
    ]


@before_landing
def test_the_page_shows_them_on_the_overview(blade, tmp_path):
    begin_job(tmp_path / "job", blade, people=["Ada"]).close()
    sessions = Sessions(tmp_path / "devices.json")
    door = Door(page(tmp_path / "job", sessions, HERE), sessions)
    shown = door.ask("GET", "/overview").text
    door.close()
    listed = shown.partition("<summary>Odd in the file: 4</summary>")[2].partition("</ul>")[0]
    assert listed.count("<li>") == 4
    assert "what is still aboard runs out" in listed


def test_the_cover_of_a_sheet_has_them(blade):
    job = PaperJob(blade, plan_refit(blade), date(2026, 6, 1))
    assert cover_data(job)["odd"] == head_lines_of(blade)


def head_lines_of(plan):
    (block,) = at_the_head(plan)
    assert head_lines(plan.machine, []) == []
    return [item.words for item in block.items]
