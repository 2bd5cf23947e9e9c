"""sheet, tags, parts, tools, export, draw: from a machine file and from inside a job folder."""

import csv
import io
import json

import pytest

from tests.support.profile import before_landing, counts
from tests.views.paper_jobs import pages_of, text_in

PUMP = "tests/machines/bench-pump.yaml"
JOB = (PUMP, "--off", "seal")


@pytest.fixture(autouse=True)
def one_day(monkeypatch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780272000")  # 1 June 2026


def text_of(path):
    return text_in(path.read_bytes())


def test_sheet_writes_a_pdf_and_says_how_good_the_order_is(sequencer, tmp_path):
    path = tmp_path / "job.pdf"
    ran = sequencer("sheet", *JOB, "-o", path)
    assert (ran.code, ran.err) == (0, "")
    assert "way in: Proven" in ran.out
    assert "way back: Proven" in ran.out
    assert "2026-06-01" in text_of(path)


@before_landing
def test_the_same_day_gives_the_same_sheet(sequencer, tmp_path):
    for name in ("a.pdf", "b.pdf"):
        sequencer("sheet", *JOB, "-o", tmp_path / name)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


@before_landing
def test_sheet_takes_a_toolbox_a_unit_sittings_and_leaves_out_the_way_back(sequencer, tmp_path):
    path = tmp_path / "job.pdf"
    options = ("--toolbox", "examples/toolbox.yaml", "--torque-unit", "lbf.in", "--sitting", "20 min")
    assert sequencer("sheet", *JOB, "-o", path, *options).code == 0
    text = text_of(path)
    assert "MISSING" in text
    assert "lbf.in" in text
    assert "Endofsitting2" in text
    assert sequencer("sheet", *JOB, "-o", path, "--no-refit", "--paper", "letter").code == 0
    assert "Thewayback" not in text_of(path)


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (("--sitting", "soon"), "--sitting"),
        (("--sitting", "0 s"), "has to take some time"),
        (("--sitting", "9 min"), "a sitting of 9 min leaves no time to work"),
        (("--sitting", "1 h", "--chance", "1"), "a chance lies between 0 and 1"),
        (("--chance", "0.9"), "add --sitting"),
        (("--until", "soon"), "not a time of day"),
        (("--torque-unit", "pounds"), "is not a unit of torque"),
    ],
)
def test_what_makes_no_sense_is_refused_and_leaves_no_file(sequencer, tmp_path, options, told):
    ran = sequencer("sheet", *JOB, "-o", tmp_path / "job.pdf", *options)
    assert (ran.code, ran.out) == (2, "")
    assert told in ran.err
    assert not (tmp_path / "job.pdf").exists()


@before_landing
def test_a_file_that_can_not_be_written_is_said(sequencer, tmp_path):
    ran = sequencer("sheet", *JOB, "-o", tmp_path / "no" / "job.pdf")
    assert ran.code == 2
    assert "can't be written" in ran.err


@before_landing
def test_tags_writes_label_sheets(sequencer, tmp_path):
    ran = sequencer(
        "tags", *JOB, "-o", tmp_path / "tags.pdf", "--stock", "a4-24", "--base-url", "http://x:1/"
    )
    assert (ran.code, ran.err) == (0, "")
    assert "bag tags" in ran.out
    assert "BAG1" in text_of(tmp_path / "tags.pdf")
    assert sequencer("tags", *JOB, "-o", tmp_path / "b.pdf", "--kind", "bags").code == 0
    ran = sequencer("tags", *JOB, "-o", tmp_path / "tags.pdf", "--stock", "giant")
    assert ran.code == 2
    assert "no such label sheet" in ran.err


@before_landing
@pytest.mark.parametrize("name", ["parts", "tools"])
def test_lists_are_printed_and_written(sequencer, tmp_path, name):
    ran = sequencer(name, *JOB)
    assert (ran.code, ran.err) == (0, "")
    assert not any(line.endswith(" ") for line in ran.out.splitlines())
    rows = list(csv.reader(io.StringIO(sequencer(name, *JOB, "--format", "csv").out)))
    assert all(row[1] in ran.out or len(row[1]) > 20 for row in rows[1:])
    for ending in ("csv", "pdf"):
        assert sequencer(name, *JOB, "-o", tmp_path / f"list.{ending}").code == 0
    written = list(csv.reader(io.StringIO((tmp_path / "list.csv").read_text(encoding="utf-8-sig"))))
    assert written == rows
    assert (tmp_path / "list.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize("options", [("--format", "pdf"), ("-o", "list.xls")])
def test_a_list_that_can_not_be_told_is_refused(sequencer, options):
    ran = sequencer("parts", *JOB, *options)
    assert (ran.code, ran.out) == (2, "")


SITTINGS = ("--sitting", "25 min", "--start", "2026-12-05T09:00")
ALONE = counts(quick=(), landing=("csv", "md"), nightly=())


@before_landing
def test_export_prints_json_and_writes_the_other_kinds(sequencer, tmp_path):
    data = json.loads(sequencer("export", *JOB).out)
    assert (data["format"], data["version"], data["date"]) == ("sequencer-job", 1, "2026-06-01")
    for ending, begin in (("csv", "way,"), ("md", "# Bench pump"), ("ics", "BEGIN:VCALENDAR")):
        path = tmp_path / f"job.{ending}"
        ran = sequencer("export", *JOB, "-o", path, *(() if ending in ALONE else SITTINGS))
        assert (ran.code, ran.err) == (0, "")
        assert path.read_text(encoding="utf-8-sig").startswith(begin)


def test_export_prints_its_schema_without_a_job(sequencer):
    assert json.loads(sequencer("export", "--schema").out)["$id"] == "urn:sequencer:job:1"


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (("-o", "job.doc"), "can't tell the kind of file"),
        (("--format", "ics"), "when the first sitting begins"),
        (("--format", "ics", "--start", "noon"), "no date and time"),
    ],
)
def test_export_refuses_what_it_can_not_do(sequencer, options, told):
    ran = sequencer("export", *JOB, *options)
    assert (ran.code, ran.out) == (2, "")
    assert told in ran.err


@pytest.mark.parametrize("name", ["sheet", "tags", "parts", "tools", "export"])
def test_a_machine_without_a_target_is_refused(sequencer, tmp_path, name):
    output = ("-o", tmp_path / "x.pdf") if name in ("sheet", "tags") else ()
    ran = sequencer(name, PUMP, *output)
    assert ran.code == 2
    assert "add --off PART" in ran.err


# ---- Diagrams ----


@before_landing
def test_draw_says_the_names_of_several_pages(sequencer, tmp_path):
    ran = sequencer("draw", "models/delivery-van.yaml", "-o", tmp_path / "van.svg")
    assert ran.code == 0
    names = ran.out.splitlines()
    assert names == [str(tmp_path / name) for name in ("van.svg", *(f"van-{n}.svg" for n in range(2, 6)))]
    assert (tmp_path / "van-2.svg").read_text(encoding="utf-8").count("page 2 of 5") >= 1


@before_landing
def test_draw_makes_a_pdf_of_several_pages(sequencer, tmp_path):
    assert sequencer("draw", "models/delivery-van.yaml", "-o", tmp_path / "van.pdf").code == 0
    assert len(pages_of((tmp_path / "van.pdf").read_bytes())) >= 2


def test_draw_takes_the_form_from_its_option(sequencer, tmp_path):
    assert sequencer("draw", *JOB, "-o", tmp_path / "plan", "--format", "pdf").code == 0
    assert (tmp_path / "plan").read_bytes().startswith(b"%PDF")


@before_landing
def test_draw_draws_the_way_back_and_one_sitting(sequencer, tmp_path):
    assert sequencer("draw", *JOB, "-o", tmp_path / "back.dot", "--refit").code == 0
    assert "Not on to step" in (tmp_path / "back.dot").read_text(encoding="utf-8")
    cut = ("--sitting", "20 min", "--only", "1")
    assert sequencer("draw", *JOB, "-o", tmp_path / "one.dot", *cut).code == 0
    assert "sitting 1" in (tmp_path / "one.dot").read_text(encoding="utf-8")
    ran = sequencer("draw", *JOB, "-o", tmp_path / "no.dot", "--only", "1")
    assert ran.code == 2
    assert "has 0 sittings" in ran.err


@pytest.mark.parametrize("options", [("--why", "motor"), ("--refit",), ("--only", "1")])
def test_draw_asks_for_a_job_where_it_needs_one(sequencer, tmp_path, options):
    ran = sequencer("draw", PUMP, "-o", tmp_path / "x.svg", *options)
    assert ran.code == 2
    assert "add --off PART" in ran.err


# ---- From inside a job folder ----


@pytest.fixture
def job_folder(sequencer, tmp_path):
    folder = tmp_path / "job"
    ran = sequencer("new", folder, "--machine", PUMP, "--off", "seal", "--title", "The pump in the shed")
    assert ran.code == 0, ran.err
    return folder


@before_landing
def test_all_of_them_work_inside_a_job_folder(sequencer, job_folder, monkeypatch):
    monkeypatch.chdir(job_folder)
    for arguments in (
        ("sheet", "-o", "job.pdf"),
        ("tags", "-o", "tags.pdf"),
        ("parts",),
        ("tools",),
        ("export", "-o", "job.json"),
        ("draw", "-o", "plan.svg"),
    ):
        ran = sequencer(*arguments)
        assert (ran.code, ran.err) == (0, ""), arguments
    assert "Thepumpintheshed" in text_of(job_folder / "job.pdf")
    assert (
        json.loads((job_folder / "job.json").read_text(encoding="utf-8"))["title"] == "The pump in the shed"
    )


@before_landing
def test_a_job_folder_may_be_named(sequencer, job_folder):
    ran = sequencer("parts", job_folder)
    assert (ran.code, ran.err) == (0, "")
    assert "The pump in the shed" in ran.out


def test_a_job_folder_has_its_targets_already(sequencer, job_folder):
    ran = sequencer("parts", job_folder, "--off", "guard")
    assert ran.code == 2
    assert "has its targets already" in ran.err


@before_landing
def test_the_numbers_are_those_of_the_job(sequencer, job_folder):
    told = json.loads(sequencer("export", job_folder).out)
    planned = json.loads(sequencer("plan", *JOB, "--json").out)
    assert [step["op"] for step in told["teardown"]["steps"]] == [step["op"] for step in planned["steps"]]
    assert told["bags"] == {op: mark for op, mark in told["bags"].items() if op.startswith("undo ")}


def test_outside_of_a_job_it_is_said_how_to_name_one(sequencer, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    ran = sequencer("parts")
    assert ran.code == 2
    assert "job" in ran.err


@before_landing
def test_sittings_are_those_of_the_job(sequencer, tmp_path):
    folder = tmp_path / "job"
    lengths = ("--sitting", "16 min", "--sitting", "20 min")
    assert sequencer("new", folder, "--machine", PUMP, "--off", "seal", *lengths).code == 0
    found = json.loads(sequencer("export", folder).out)["sittings"]
    assert len(found) > 2
    assert all((one["chance"] >= 0.8) == (one["over_seconds"] == 0) for one in found)
    asked = json.loads(sequencer("export", folder, "--sitting", "16 min").out)["sittings"]
    assert asked[0] == found[0]
    assert asked != found


# ---- A job that is under way ----


def crosses(path):
    """Crossed boxes: two heavy strokes each, as long as the box is wide inside."""
    strokes = [
        line
        for page in pages_of(path.read_bytes())
        for line in page.strokes
        if line.size == pytest.approx(1.2, abs=0.01) and line.width == pytest.approx(6.8, abs=0.2)
    ]
    return len(strokes) / 2


@before_landing
def test_what_is_done_is_crossed_on_the_sheet_and_told_by_the_exports(sequencer, job_folder, monkeypatch):
    monkeypatch.chdir(job_folder)
    assert sequencer("sheet", "-o", "fresh.pdf").code == 0
    assert crosses(job_folder / "fresh.pdf") == 0
    assert sequencer("done", "1-5").code == 0
    assert sequencer("skip", "6", "It was slack when I came.").code == 0
    assert sequencer("sheet", "-o", "job.pdf").code == 0
    assert crosses(job_folder / "job.pdf") == 5
    text = text_of(job_folder / "job.pdf")
    steps = len(json.loads(sequencer("export").out)["teardown"]["steps"])
    assert f"Wayin:5of{steps}stepsdone,1skipped" in text
    assert "(skipped)" in text
    rows = list(csv.DictReader(io.StringIO(sequencer("export", "--format", "csv").out)))
    assert [row["ticked"] for row in rows[:7]] == [*["done"] * 5, "skipped", ""]
    assert sequencer("export", "--format", "md").out.count("- [x] ") == 5
    assert list(json.loads(sequencer("export").out)["ticked"].values()) == [*["done"] * 5, "skipped"]


@before_landing
def test_a_turned_job_goes_back_as_it_has_planned_it(sequencer, job_folder, monkeypatch):
    monkeypatch.chdir(job_folder)
    steps = len(json.loads(sequencer("export").out)["teardown"]["steps"])
    assert sequencer("done", f"1-{steps}").code == 0
    assert sequencer("turn").code == 0
    assert sequencer("done", f"{steps + 1}-{steps + 3}", "--prepared").code == 0
    ran = sequencer("sheet", "-o", "job.pdf")
    assert (ran.code, ran.err) == (0, "")
    assert "way in: This is how it was done." in ran.out
    assert "way back: The order and the numbers that the job goes by" in ran.out
    done = steps + 3
    assert crosses(job_folder / "job.pdf") >= done  # and the bench lists ticked before them
    rows = list(csv.DictReader(io.StringIO(sequencer("export", "--format", "csv").out)))
    assert [int(row["number"]) for row in rows] == list(range(1, len(rows) + 1))
    assert {row["ticked"] for row in rows[:done]} == {"done"}
    assert {row["ticked"] for row in rows[done:]} == {""}


@before_landing
def test_a_job_that_is_taken_apart_again_still_shows_what_was_done_before(sequencer, job_folder, monkeypatch):
    monkeypatch.chdir(job_folder)
    for act in (("done", "1-7"), ("turn",), ("turn", "--apart")):
        assert sequencer(*act).code == 0
    ran = sequencer("sheet", "-o", "job.pdf")
    assert (ran.code, ran.err) == (0, "")
    assert crosses(job_folder / "job.pdf") == 7
    rows = list(csv.DictReader(io.StringIO(sequencer("export", "--format", "csv").out)))
    assert [row["number"] for row in rows[:7]] == list("1234567")
    assert [row["ticked"] for row in rows[:8]] == [*["done"] * 7, ""]


@before_landing
def test_what_was_done_against_the_file_leaves_a_way_back_on_the_sheet(sequencer, job_folder, monkeypatch):
    monkeypatch.chdir(job_folder)
    for act in (
        ("done", "remove guard", "--anyway", "It fell off."),
        ("skip", "crack pulley/bolts", "The belt is off."),
        ("also", "--off", "motor"),
        ("sheet", "-o", "job.pdf"),
    ):
        ran = sequencer(*act)
        assert ran.code == 0, ran.err
    assert crosses(job_folder / "job.pdf") == 1
    assert "Thewayback" in text_of(job_folder / "job.pdf")
