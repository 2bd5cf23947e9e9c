"""A part's bench list: what is checked or cleaned before it is fitted, ticked before the fitting is."""

import io

import pytest
import typer
from rich.console import Console

from sequencer.bench.remedies import for_a_thumb
from sequencer.cli.during import done as done_command
from sequencer.document.jobs.record import record_document
from sequencer.document.steps.cards import refit_cards, teardown_cards
from sequencer.document.underway.going_on import next_document
from sequencer.errors import SequencerError
from sequencer.graph.operations import bench_lists
from sequencer.job.reports.record import bench_record, reservations, torque_record
from sequencer.render.data.jobs.torque_record import record_json
from sequencer.render.data.plans.plan import refit_json
from sequencer.render.export.as_text import job_csv, job_markdown
from sequencer.render.sheet.sheet import sheet_pdf
from sequencer.render.terminal import show
from tests.job.phone import Phone
from tests.job.through import begun, through
from tests.machine.texts import faults
from tests.plan.jobs import machine_of, there_and_back
from tests.support.profile import before_landing
from tests.views.paper_jobs import flat, job, text_in

PUMP = """
machine: A pump whose rotor is looked at before it goes back
parts:
  cover: {joints: {bolts: {kind: bolt, head: 10, time: 60 s}}}
  rotor:
    behind: [cover]
    prepare:
      - Clean the bore
      - "Check the tips <0.2 mm>"
    joints: {ring: {kind: clip, tool: hand, time: 5 s}}
"""
LIST = ["Clean the bore", "Check the tips <0.2 mm>"]

SUMP = """
machine: A sump that is stuck on, and a pump that swings aside
parts:
  sump:
    prepare: [Clean both faces]
    sealant: {kind: rtv, assemble_within: 30 min, cure: 1 h}
    joints: {bolts: {kind: bolt, head: 10, time: 60 s}}
  pump:
    aside: {joints: [bolts]}
    prepare: [Look at the seal]
    joints: {bolts: {kind: bolt, head: 10, time: 60 s}, hose: {kind: hose, time: 20 s}}
  core:
    behind: [{pump: aside}, sump]
    joints: {clip: {kind: clip, time: 5 s}}
"""


@pytest.fixture
def desk(tmp_path):
    """A job with all off, about to go back."""
    with begun(tmp_path, PUMP, ["rotor"]) as desk:
        desk.done([step.operation.name for step in desk.plan().steps])
        desk.turn()
        yield desk


def shown(document):
    out = io.StringIO()
    show(document, Console(file=out, width=100))
    return out.getvalue()


def test_the_fitting_says_its_list_and_the_removal_does_not():
    way_in, back = there_and_back(PUMP, [("off", "rotor")])
    lists = {step.operation: list(step.prepare) for card in refit_cards(back) for step in card.steps}
    assert lists.pop("fit rotor") == LIST
    assert not any(lists.values())
    assert not any(step.prepare for card in teardown_cards(way_in) for step in card.steps)
    steps = {step["op"]: step["prepare"] for step in refit_json(back)["steps"]}
    assert steps["fit rotor"] == LIST
    assert steps["fit cover"] == []


def test_the_list_stands_before_the_first_thing_that_is_done_to_the_part():
    _, back = there_and_back(SUMP, [("off", "core")])
    wanted = {"seal sump": ["Clean both faces"], "move-back pump": ["Look at the seal"]}
    lists = {step.operation: list(step.prepare) for card in refit_cards(back) for step in card.steps}
    assert {op: texts for op, texts in lists.items() if texts} == wanted
    assert {s["op"]: s["prepare"] for s in refit_json(back)["steps"] if s["prepare"]} == wanted
    printed = job(machine_of(SUMP), "core")
    listed, sheet = job_markdown(printed), text_in(sheet_pdf(printed))
    for op, (text,) in wanted.items():
        number = next(step.number for step in printed.back.steps if step.operation.name == op)
        assert f"- [ ] before {number}: {text}\n" in listed
        assert flat(f"before {number}: {text}") in sheet


def test_a_part_that_is_removed_after_it_was_moved_aside_is_looked_at_before_it_is_fitted():
    order = ["fit pump", "seal pump", "move-back pump"]
    assert bench_lists(machine_of(SUMP), order) == {"fit pump": ("Look at the seal",)}
    assert bench_lists(machine_of(SUMP), ["seal sump", "seat sump"]) == {}


@before_landing
def test_the_bead_and_the_moving_back_wait_for_their_lists(tmp_path):
    with begun(tmp_path, SUMP, ["core"]) as desk:
        desk.done([step.operation.name for step in desk.plan().steps])
        desk.turn()
        desk.done(["fit core", "fasten core/clip"])
        page = Phone(desk.folder.path, tmp_path)
        for op, text in (("seal sump", "Clean both faces"), ("move-back pump", "Look at the seal")):
            with pytest.raises(SequencerError, match=f"bench list: {text}"):
                desk.done(op)
            assert page.door.ask("GET", f"/step/{op.replace(' ', '%20')}").text.count('name="prepared"') == 1
            page.door.post("/tick", {"op": op, "prepared": [text]})
            assert op in desk.state().ticks
        page.close()
        desk.done("fit sump")
        assert [(one.part, one.left) for one in bench_record(desk.moment())] == [("sump", ()), ("pump", ())]


def test_where_no_bead_is_laid_the_fitting_waits_for_the_list(tmp_path):
    with begun(tmp_path, SUMP, ["core"]) as desk:
        desk.done([step.operation.name for step in desk.plan().steps])
        desk.turn()
        desk.done(["fit core", "fasten core/clip"])
        desk.skip("seal sump", "a gasket this time")
        with pytest.raises(SequencerError, match="bench list: Clean both faces"):
            desk.done("fit sump")
        desk.done("fit sump", prepared=True)
        assert [one.ticked for one in bench_record(desk.moment())] == [("Clean both faces",)]


def test_next_shows_a_box_for_each_entry_before_the_step(desk):
    lines = [line.strip() for line in shown(next_document(desk.moment())).splitlines()]
    boxes = [lines.index(f"[ ] before it: {text}") for text in LIST]
    (step,) = [number for number, line in enumerate(lines) if "Fit rotor" in line]
    assert boxes == [step - 2, step - 1]


def test_the_sheet_and_the_check_list_have_a_box_for_each():
    printed = job(machine_of(PUMP), "rotor")
    number = next(step.number for step in printed.back.steps if step.operation.name == "fit rotor")
    sheet = text_in(sheet_pdf(printed))
    listed = job_markdown(printed)
    for text in LIST:
        assert flat(f"before {number}: {text}") in sheet
    assert f"- [ ] before {number}: Clean the bore\n" in listed
    assert "before it: Clean the bore" in job_csv(printed)


def test_it_is_fitted_once_all_of_it_is_ticked(desk):
    with pytest.raises(SequencerError, match="comes after its bench list: Check the tips") as refused:
        desk.done("fit rotor", prepared=LIST[:1])
    assert refused.value.code == "not-prepared"
    assert "--prepared" in str(refused.value)
    assert "--prepared" not in for_a_thumb(refused.value)
    with pytest.raises(SequencerError, match="bench list: Clean the bore"):
        desk.done("fit rotor")
    with pytest.raises(SequencerError, match="bench list"):
        desk.done(["fit rotor", "fasten rotor/ring"])
    assert "fit rotor" not in desk.state().ticks
    desk.done("fit rotor", prepared=LIST)
    (one,) = bench_record(desk.moment())
    assert (one.part, list(one.ticked), one.left, one.person) == ("rotor", LIST, (), "Ann")


def test_a_word_for_all_of_it_does_and_other_steps_need_none(desk):
    desk.done(["fit rotor", "fasten rotor/ring"], prepared=True)
    desk.done()
    assert "fit cover" in desk.state().ticks
    text = shown(record_document(desk.moment(), torque_record(desk.moment())))
    assert "Bench lists" in text
    assert "rotor: Clean the bore; Check the tips <0.2 mm> (Ann" in text
    told = record_json(desk.moment(), torque_record(desk.moment()))
    assert [row["ticked"] for row in told["bench_lists"]] == [LIST]


def test_what_was_not_ticked_stays_in_the_record_with_the_reason(desk):
    desk.done("fit rotor", anyway="no time")
    (one,) = bench_record(desk.moment())
    assert (one.ticked, list(one.left)) == ((), LIST)
    assert "not ticked: Clean the bore" in shown(record_document(desk.moment(), ()))
    assert ("fit rotor", "against the file: no time") in reservations(desk.moment())


def test_taken_back_it_is_ticked_anew(desk):
    desk.done("fit rotor", prepared=True)
    desk.undo()
    assert bench_record(desk.moment()) == ()
    with pytest.raises(SequencerError, match="bench list"):
        desk.done("fit rotor")


def test_the_terminal_asks_for_each_where_somebody_sits_there(desk, monkeypatch):
    monkeypatch.setattr("sys.stdin.isatty", lambda: True)
    asked = []

    def answered(words, **_):
        asked.append(words)
        return len(asked) != 2

    monkeypatch.setattr(typer, "confirm", answered)

    def tick(prepared):
        return desk.done("fit rotor", prepared=prepared)

    with pytest.raises(SequencerError, match="bench list"):
        done_command._asking(tick, None)
    done_command._asking(tick, None)
    assert asked == [f"Done: {text}" for text in LIST * 2]
    assert list(desk.state().ticks["fit rotor"].prepared) == LIST


def test_the_terminal_refuses_where_nobody_does(desk, monkeypatch):
    monkeypatch.setattr("sys.stdin.isatty", lambda: False)
    with pytest.raises(SequencerError, match="bench list"):
        done_command._asking(lambda prepared: desk.done("fit rotor", prepared=prepared), None)


@before_landing
def test_the_page_has_a_box_for_each_and_takes_them(desk, tmp_path):
    phone = Phone(desk.folder.path, tmp_path)
    for path in ("/", "/step/fit%20rotor"):
        page = phone.door.ask("GET", path).text
        assert page.count('name="prepared"') == 2
        assert "Check the tips &lt;0.2 mm&gt;" in page
    said = phone.door.post("/tick", {"op": "fit rotor"}, headers={"Accept": "application/json"})
    assert said.status_code == 409
    assert "tick each of them" in said.json()["problem"]
    phone.door.post("/tick", {"op": "fit rotor", "prepared": LIST})
    assert "fit rotor" in desk.state().ticks
    assert "Clean the bore" in phone.door.ask("GET", "/record").text
    phone.look()
    phone.close()


def test_a_whole_job_goes_through(tmp_path):
    _, back = through(tmp_path, PUMP, ["rotor"])
    assert "fit rotor" in back


def test_an_entry_that_is_no_text_is_refused_with_its_line():
    said = faults(PUMP.replace('"Check the tips <0.2 mm>"', "{check: tips}"))
    assert any(one.startswith("9:") and "text is wanted" in one for one in said), said
