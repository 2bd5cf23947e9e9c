"""The commands of a job, as a person types them: what they print, what they refuse, where they run."""

import csv
import io
import json
import re

import pytest

from tests.support.profile import before_landing

PUMP = "tests/machines/bench-pump.yaml"


@pytest.fixture
def job(sequencer, tmp_path, monkeypatch):
    """A job folder; further commands are about it, and come from Ann's laptop."""
    for name in ("SEQUENCER_JOB", "SEQUENCER_PERSON", "SEQUENCER_DEVICE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("SEQUENCER_DEVICE", "laptop")
    folder = tmp_path / "seal job"
    ran = sequencer(
        "new", folder, "--machine", PUMP, "--off", "impeller", "--people", "Ann", "--title", "Seal",
        "--practice", "none",
    )  # fmt: skip
    assert (ran.code, ran.err) == (0, "")
    assert re.match(r"Seal\nAbout 20 min \(.+, 8 times in 10\); 17 steps in 14 stations\.\n", ran.out)
    monkeypatch.setenv("SEQUENCER_JOB", str(folder))
    return folder


def test_next_shows_where_to_stand_what_to_hold_and_what_comes_after(sequencer, job):
    ran = sequencer("next")
    assert "In front of the bench · by hand   3 min" in ran.out
    assert "   1  Isolate the supply; lock it; prove it dead" in ran.out
    assert "After that: In front of the bench · T25 bit" in ran.out
    assert "Clock stopped. To start the clock: sequencer resume" in ran.out
    assert "   2  " not in ran.out
    assert "   2  Undo Belt guard: screws" in sequencer("next", "--stations", "2").out


@before_landing
def test_a_step_shows_its_bag_and_this_jobs_own_notes(sequencer, job):
    sequencer("note", "one screw is longer", "--step", "2")
    sequencer("done", "1")
    shown = sequencer("next").out
    assert "      into bag 1\n" in shown
    assert "      note: one screw is longer\n" in shown


@before_landing
def test_done_says_what_was_ticked_and_shows_what_comes_next(sequencer, job):
    assert sequencer("resume").out.startswith("Clock started.\n\n  A1  In front of the bench")
    ran = sequencer("done")
    ticked = "Ticked step 1, Isolate the supply; lock it; prove it dead.\n\n"
    assert ran.out.startswith(f"{ticked}  A2  In front of the bench · T25 bit")
    assert sequencer("done", "2-3").out.startswith("Ticked steps 2-3.\n")
    assert sequencer("done", "4", "5").out.startswith("Ticked steps 4-5.\n")
    assert sequencer("done", "5,6").out.startswith(
        "Ticked step 6, Slacken Motor: feet.\nStep 5, Wedge the motor from below, was"
    )


def test_a_refusal_is_one_message_and_exit_code_2(sequencer, job):
    ran = sequencer("done", "9")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith("step 9, Undo Outlet pipe: flange, can't be done yet: ")
    assert "Traceback" not in ran.err
    assert sequencer("status", "--json").out.count('"done": 0') == 1


@before_landing
def test_skip_undo_and_anyway(sequencer, job):
    sequencer("done", "1-3")
    assert sequencer("skip", "4", "was dry").out.startswith(
        "Skipped step 4, Drain Water and inhibitor: was dry.\n"
    )
    assert sequencer("undo").out.startswith("Taken back: skipped step 4, Drain Water and inhibitor.\n")
    assert sequencer("done", "9", "--anyway", "it was open").out.startswith("Ticked step 9")
    shown = sequencer("status").out
    assert "Anyway      9 Undo Outlet pipe: flange, against the file: it was open" in shown
    assert sequencer("undo", "3").out.startswith("Taken back: done step 3, Take off Belt guard.\n")
    assert "nothing was taken back" in sequencer("undo", "3").out


@before_landing
def test_status_and_stop_say_how_the_machine_may_be_left(sequencer, job):
    sequencer("resume")
    sequencer("done", "1-10")
    shown = sequencer("status").out
    for line in (
        "Impeller off: the way in, 10 of 17 steps done.",
        "Off         Belt guard",
        "Only moved  Motor",
        "Drained     Water and inhibitor",
        "Open        Inlet hose: pump end, Outlet pipe: flange",
        "Clock       running",
    ):
        assert f"{line}\n" in shown
    assert re.search(
        r"Not a safe place to leave the machine\. No later one is safe; least is left open after step 14, "
        r"about \d+ min",
        " ".join(shown.split()),
    )
    stopped = sequencer("stop", "lunch").out
    assert stopped.startswith("Stopped.\n\n! Not a safe place")
    assert "Water and inhibitor: system half open; plug the open ends" in " ".join(stopped.split())


@before_landing
def test_the_log_has_everything_and_marks_what_was_taken_back(sequencer, job):
    sequencer("done", "1")
    sequencer("undo")
    sequencer("note", "=HYPERLINK(1)")
    shown = sequencer("log").out
    assert "done (taken back): 1 Isolate the supply" in shown
    rows = list(csv.DictReader(io.StringIO(sequencer("log", "--csv").out)))
    assert [row["kind"] for row in rows] == ["machine", "changed", "done", "undone", "note"]
    assert [row["undone"] for row in rows] == ["False", "False", "True", "False", "False"]
    assert rows[4]["text"] == "'=HYPERLINK(1)"
    data = json.loads(sequencer("log", "--json", "--last", "1").out)
    assert data["events"][0]["body"] == {"text": "=HYPERLINK(1)"}


@before_landing
def test_chapters_are_time_codes_from_the_start_of_the_film(sequencer, job):
    sequencer("resume")
    sequencer("done", "1-3")
    shown = sequencer("log", "--chapters", "--from", "2026-01-01 00:00:00").out.splitlines()
    assert len(shown) == 3
    assert all(re.match(r"\d+:\d\d:\d\d \S", line) for line in shown)
    assert shown[1].endswith("Undo Belt guard: screws (In front of the bench, T25 bit)")
    data = json.loads(sequencer("log", "--chapters", "--from", "2026-01-01 00:00:00", "--json").out)
    assert data["chapters"][0]["ops"] == ["task isolate"]
    assert sequencer("log", "--chapters").err.startswith("--chapters and --from go together")
    assert "is not a time of day" in sequencer("log", "--chapters", "--from", "noon").err


@before_landing
def test_json_of_every_command_is_one_object(sequencer, job):
    for words in (
        ["resume"],
        ["next"],
        ["done", "1"],
        ["note", "x"],
        ["skip", "2", "x"],
        ["status"],
        ["undo"],
        ["stop"],
    ):
        ran = sequencer(*words, "--json")
        assert ran.code == 0
        assert isinstance(json.loads(ran.out), dict)
    assert json.loads(sequencer("next", "--json").out)["station"] == [2]


@before_landing
def test_who_and_which_device_come_from_options_and_environment(sequencer, job, monkeypatch):
    sequencer("done", "1")
    sequencer("done", "2", "--person", "Bo", "--device", "phone")
    monkeypatch.setenv("SEQUENCER_PERSON", "Cy")
    sequencer("done", "3")
    events = json.loads(sequencer("log", "--json").out)["events"][2:]
    assert [(one["person"], one["device"]) for one in events] == [
        ("Ann", "laptop"), ("Bo", "phone"), ("Cy", "laptop"),
    ]  # fmt: skip


def test_commands_run_from_a_subfolder_and_by_the_option(sequencer, job, monkeypatch, tmp_path):
    monkeypatch.delenv("SEQUENCER_JOB")
    monkeypatch.chdir(job / "photos")
    assert sequencer("status").code == 0
    monkeypatch.chdir(tmp_path)
    ran = sequencer("status")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith(
        "this folder is not inside a job; go into its folder (cd 'seal job'), or name it with --job"
    )
    assert sequencer("status", "--job", job).code == 0


def test_a_place_in_the_machine_file_is_named_as_one_would_open_it(sequencer, job, monkeypatch):
    monkeypatch.chdir(job)
    assert "(bench-pump.yaml:89)" in sequencer("done", "9").err


def test_new_refuses_what_is_there_and_what_can_not_be_planned(sequencer, job, tmp_path):
    assert "it is a job: go on in it" in sequencer("new", job, "--machine", PUMP, "--off", "seal").err
    ran = sequencer("new", tmp_path / "x", "--machine", PUMP, "--off", "sael")
    assert (ran.code, ran.err) == (
        2,
        "--off sael: tests/machines/bench-pump.yaml has no part 'sael'; did you mean seal?\n",
    )
    assert sequencer("new", tmp_path / "x", "--machine", PUMP).code == 2
    assert not (tmp_path / "x").exists()


def test_new_keeps_all_that_was_said_on_the_card(sequencer, job, tmp_path):
    ran = sequencer(
        "new", tmp_path / "x", "--machine", PUMP, "--off", "motor=loose", "--reach", "bracket",
        "--people", "Ann, Bo", "--sitting", "90 min", "--sitting", "1 h",
        "--toolbox", "examples/toolbox.yaml",
    )  # fmt: skip
    assert ran.code == 0
    card = (tmp_path / "x" / "job.yaml").read_text(encoding="utf-8")
    assert "practice: all" in card
    for piece in ("- motor=loose", "- bracket", "- Ann\n- Bo", "- 90\n- 60", "examples/toolbox.yaml"):
        assert piece in card


def test_a_photo_goes_with_a_note(sequencer, job, tmp_path):
    from PIL import Image

    Image.new("RGB", (40, 30), "blue").save(tmp_path / "a.png")
    assert sequencer("note", "--photo", tmp_path / "a.png", "--step", "2").out.startswith(
        "Photo kept at step 2"
    )
    assert len(list((job / "photos").glob("*.jpg"))) == 1
    assert "can't be read: No such file" in sequencer("note", "--photo", tmp_path / "b.png").err
    assert "the note is empty" in sequencer("note").err


def test_words_with_markup_and_control_characters_come_out_as_text(sequencer, job):
    sequencer("note", "[bold]x\x1b[31m", "--step", "1")
    shown = sequencer("next").out + sequencer("log").out
    assert "[bold]x" in shown
    assert "\x1b" not in shown


def test_who_begins_a_job_by_name_is_the_person_of_its_next_acts(sequencer, tmp_path):
    sequencer("new", tmp_path / "mill", "--off", "bearing", "--person", "Eva")
    sequencer("did", "guard off, 3 screws PH2", "--job", tmp_path / "mill")
    said = sequencer("log", "--job", tmp_path / "mill").out
    assert "Eva  did: guard off" in " ".join(said.split()).replace("Eva did", "Eva  did")
