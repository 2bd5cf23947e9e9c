"""``plan --look-first`` and the record that it goes by."""

import json

import pytest

from tests.support.profile import before_landing

PUMP = "examples/bench-pump.yaml"


@pytest.fixture(autouse=True)
def nobodys(monkeypatch):
    for name in ("SEQUENCER_LOOKED", "SEQUENCER_JOB", "SEQUENCER_PERSON", "SEQUENCER_PACE"):
        monkeypatch.delenv(name, raising=False)


def plan(sequencer, *more):
    ran = sequencer("plan", PUMP, "--off", "seal", "--json", *more)
    assert ran.code == 0, ran.err
    return json.loads(ran.out)


def test_the_plan_is_the_same_with_looks_and_without(sequencer):
    plain, looking = plan(sequencer), plan(sequencer, "--look-first")
    assert {key: looking[key] for key in plain} == plain
    assert set(looking) - set(plain) == {"looks", "looks_totals", "unseen", "before_you_pull"}


@before_landing
def test_a_plain_plan_says_nothing_of_looks(sequencer):
    ran = sequencer("plan", PUMP, "--off", "seal")
    assert "Look first" not in ran.out
    assert "before you pull" not in ran.out
    assert "Look first" in sequencer("plan", PUMP, "--off", "seal", "--look-first").out


def test_looks_are_for_one_person(sequencer):
    ran = sequencer("plan", PUMP, "--off", "seal", "--look-first", "--people", "2")
    assert (ran.code, ran.out) == (2, "")
    assert "--look-first is for one person's plan" in ran.err


@before_landing
def test_a_file_of_counts_is_the_persons_own_record(sequencer, tmp_path):
    before = plan(sequencer, "--look-first")
    kind = before["unseen"][0]["kind"]
    file = tmp_path / "record.toml"
    file.write_text(f'[jobs."last spring"]\n"{kind}" = [36, 36]\n', "utf-8")
    ran = sequencer("plan", PUMP, "--off", "seal", "--json", "--look-first", "--looked", file)
    assert ran.err == "chances by your own record too: of 36 parts in 1 job something unseen held 36\n"
    after = json.loads(ran.out)
    sure = [look for look in after["looks"] if look["kind"] == kind]
    assert sure
    assert all(look["own_parts"] == 36 and look["chance"] > 0.9 for look in sure)


@before_landing
def test_a_record_that_is_set_once_holds_for_every_plan(sequencer, tmp_path, monkeypatch):
    file = tmp_path / "record.toml"
    file.write_text("[jobs.one]\ncover = [5, 5]\n", "utf-8")
    monkeypatch.setenv("SEQUENCER_LOOKED", str(file))
    assert "of 5 parts in 1 job" in sequencer("plan", PUMP, "--off", "seal", "--look-first").err
    assert sequencer("plan", PUMP, "--off", "seal").err == ""


@before_landing
@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("[jobs.one]\ncovers = [3, 1]\n", "'covers' is not a kind of part"),
        ("[jobs.one]\ncover = [1, 3]\n", "cover of jobs.one has no two counts"),
        ("[jobs.one]\ncover = [true, false]\n", "cover of jobs.one has no two counts"),
        ("[jobs.one]\ncover = 3\n", "cover of jobs.one has no two counts"),
        ("[jobs]\none = 3\n", "jobs.one is not a table"),
        ("jobs = 3\n", "jobs is not a table"),
        ("cover 3\n", "is not a record of looks"),
    ],
)
def test_a_record_that_makes_no_sense_is_refused_in_words(sequencer, tmp_path, text, problem):
    file = tmp_path / "record.toml"
    file.write_text(text, "utf-8")
    ran = sequencer("plan", PUMP, "--off", "seal", "--look-first", "--looked", file)
    assert (ran.code, ran.out) == (2, "")
    assert problem in ran.err
    assert "Traceback" not in ran.err


def test_a_path_without_a_record_is_refused_in_words(sequencer, tmp_path):
    ran = sequencer("plan", PUMP, "--off", "seal", "--look-first", "--looked", tmp_path)
    assert ran.code == 2
    assert "holds no job" in ran.err
    ran = sequencer("plan", PUMP, "--off", "seal", "--look-first", "--looked", tmp_path / "none.toml")
    assert ran.code == 2
    assert "can't be read" in ran.err


@before_landing
def test_the_folder_of_ones_jobs_is_a_record(sequencer, tmp_path):
    folder = tmp_path / "jobs" / "impeller"
    folder.parent.mkdir()
    assert sequencer("new", folder, "--machine", PUMP, "--off", "impeller", "--people", "Ann").code == 0
    job = ("--job", folder, "--person", "Ann")
    found = sequencer("found", "upper stay", "--blocks", "motor", "--held", "bolt 10 x2", *job)
    assert found.code == 0, found.err
    for where in (folder, folder.parent):
        ran = sequencer("plan", PUMP, "--off", "seal", "--look-first", "--looked", where)
        assert ran.err == "chances by your own record too: of 1 part in 1 job something unseen held 1\n"
    looked = sequencer("looked", "motor", "--showed", "a second stay", *job)
    assert looked.out.startswith("Looked at motor, by eye: a second stay.\n"), looked.err
    assert "looked: motor, by eye: a second stay" in sequencer("log", *job[:2]).out
    ran = sequencer("plan", PUMP, "--off", "seal", "--look-first", "--looked", folder)
    assert ran.err.endswith("held 1; of 1 look at what was there 1 showed it\n")
    assert "8.4 times in 10 (measured: 1 of 1 of your own)" in " ".join(ran.out.split())
    data = json.loads(
        sequencer("plan", PUMP, "--off", "seal", "--look-first", "--looked", folder, "--json").out
    )
    assert data["looks"][0]["sees_of_own"] == [1, 1]
    assert sequencer("undo", *job).code == 0
    ran = sequencer("plan", PUMP, "--off", "seal", "--look-first", "--looked", folder)
    assert "times in 10 (assumed)" in " ".join(ran.out.split())
