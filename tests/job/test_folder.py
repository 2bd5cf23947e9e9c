"""A job's folder: made whole or not at all, found from inside, and its card read with all its faults."""

import os
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sequencer.errors import SequencerError
from sequencer.job.desk import Desk
from sequencer.job.journal.card import Card, card_text, read_card
from sequencer.job.journal.folder import FOLDER_VARIABLE, NoJobError, find_job
from sequencer.job.journal.journal import Journal
from sequencer.machine.faults import MachineFileError
from sequencer.machine.reader.source import unprintable
from tests.job.conftest import PUMP, begin_job
from tests.support.profile import before_landing, counts


def test_a_new_job_has_its_card_its_own_machine_its_journal_and_a_folder_for_photos(job):
    assert sorted(entry.name for entry in job.path.iterdir()) == [
        "bench-pump.yaml", "job.yaml", "journal.db", "photos",
    ]  # fmt: skip
    assert job.machine.read_bytes() == PUMP.read_bytes()
    card = read_card(job.path / "job.yaml")
    assert card == job.card
    assert (card.off, card.origin) == (("impeller",), str(PUMP))


def test_the_shapes_that_its_machine_names_come_along(tmp_path):
    (tmp_path / "files").mkdir()
    (tmp_path / "files" / "lid.stl").write_bytes(b"a shape")
    file = tmp_path / "pot.yaml"
    gone = "pan: {mesh: gone.stl, out: +z, joints: {s: {kind: screw, head: T25}}}"
    lid = "lid: {mesh: files/lid.stl, out: +z, joints: {s: {kind: screw, head: T25}}}"
    file.write_text(f"machine: m\nparts:\n  {lid}\n  {gone}\n", "utf-8")
    job = begin_job(tmp_path / "job", machine=file, off=("lid",))
    assert (job.path / "files" / "lid.stl").read_bytes() == b"a shape"
    assert not (job.path / "gone.stl").exists()


def test_the_card_says_again_what_was_said(tmp_path):
    card = Card(
        title='Pump: "seal" # 2, ünïcode, yes',
        id="x",
        machine="a b.yaml",
        off=("seal", "motor=loose"),
        reach=("bracket/bolts",),
        people=("Ann", "no", "0x10"),
        toolbox="/t.yaml",
        sittings=(90, 60),
        database="postgresql://shop@host/db",
    )
    (tmp_path / "job.yaml").write_text(card_text(card), encoding="utf-8")
    assert read_card(tmp_path / "job.yaml") == card


WORDS = st.text(min_size=1, max_size=30).filter(str.strip)


@given(WORDS, st.lists(WORDS, max_size=3))
@settings(max_examples=counts(quick=4, landing=25, nightly=5000))
def test_any_words_on_a_card_are_kept_or_refused_in_words(title, people):
    card = Card(title=title, id="x", machine="m.yaml", people=tuple(people))
    if any(unprintable(word) for word in (title, *people)):
        with pytest.raises(SequencerError, match="can't be kept"):
            card_text(card)
        return
    text = card_text(card)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.yaml"
        path.write_text(text, encoding="utf-8", newline="")
        again = read_card(path)
    assert (again.title, again.people) == (title, tuple(people))


def test_all_faults_of_a_card_are_said_at_once_with_their_places(tmp_path):
    path = tmp_path / "job.yaml"
    path.write_text(
        "titel: x\nid: [a]\nmachine: ../m.yaml\nsittings: [soon]\noff: {a: b}\n", encoding="utf-8"
    )
    with pytest.raises(MachineFileError) as said:
        read_card(path)
    text = str(said.value)
    for piece in (
        "job.yaml:1:1: a job has no `titel`; did you mean `title`?",
        "job.yaml:2:1: `id` is one text",
        "job.yaml:3:10: `machine` is a file in this folder",
        "`sittings` are minutes; write it like sittings: [90, 60]",
        "`off` is a list of texts",
        "`title` is missing",
    ):
        assert piece in text


@pytest.mark.parametrize("content", ["", "- a\n", "title: [", "{"])
def test_a_card_that_is_none_is_said(tmp_path, content):
    path = tmp_path / "job.yaml"
    path.write_text(content, encoding="utf-8")
    with pytest.raises(MachineFileError, match=r"job\.yaml:\d+:\d+: "):
        read_card(path)


def test_a_folder_that_is_not_empty_is_refused_and_left_as_it_is(tmp_path):
    (tmp_path / "mine.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(SequencerError, match="is there already, and not empty"):
        begin_job(tmp_path)
    assert [entry.name for entry in tmp_path.iterdir()] == ["mine.txt"]
    with pytest.raises(SequencerError, match="is no folder"):
        begin_job(tmp_path / "mine.txt")


def test_a_job_is_not_made_over_a_job(job):
    with pytest.raises(SequencerError, match="it is a job: go on in it"):
        begin_job(job.path)


def test_an_empty_folder_is_taken(tmp_path):
    (tmp_path / "job").mkdir()
    begin_job(tmp_path / "job")
    assert (tmp_path / "job" / "journal.db").exists()


def test_a_job_that_can_not_be_made_leaves_nothing(tmp_path, monkeypatch):
    def full(self, events):
        raise SequencerError("the disk is full", "make room")

    monkeypatch.setattr(Journal, "append", full)
    with pytest.raises(SequencerError, match="the disk is full"):
        begin_job(tmp_path / "job")
    assert list(tmp_path.iterdir()) == []


@before_landing
def test_a_job_that_can_not_be_made_leaves_nothing_in_a_shops_database_either(
    tmp_path, monkeypatch, postgresql
):
    import sqlalchemy

    def refuse(self, target):
        raise PermissionError(13, "Permission denied")

    def jobs():
        engine = sqlalchemy.create_engine(postgresql.replace("postgresql:", "postgresql+psycopg:"))
        with engine.connect() as connection:
            count = connection.exec_driver_sql("SELECT count(*) FROM sequencer_job").scalar()
        engine.dispose()
        return count

    begin_job(tmp_path / "first", database=postgresql)
    before = jobs()
    monkeypatch.setattr("pathlib.Path.rename", refuse)
    with pytest.raises(SequencerError, match="can't be made: Permission denied"):
        begin_job(tmp_path / "job", database=postgresql)
    assert jobs() == before
    assert [entry.name for entry in tmp_path.iterdir()] == ["first"]


def test_a_machine_file_with_the_name_of_the_card_gets_another(tmp_path):
    own = tmp_path / "job.yaml"
    own.write_bytes(PUMP.read_bytes())
    made = begin_job(tmp_path / "job", machine=own)
    assert made.card.machine == "machine-job.yaml"
    Desk.open(made.path).close()


def test_a_job_is_found_from_its_subfolders_and_by_the_environment(job, tmp_path, monkeypatch):
    monkeypatch.delenv(FOLDER_VARIABLE, raising=False)
    monkeypatch.chdir(job.photos)
    assert find_job().path == job.path
    monkeypatch.chdir(tmp_path)
    with pytest.raises(NoJobError, match="this folder is not inside a job; go into its folder"):
        find_job()
    with pytest.raises(NoJobError, match="nowhere is not inside a job"):
        find_job(tmp_path / "nowhere")
    monkeypatch.setenv(FOLDER_VARIABLE, str(job.path))
    assert find_job().path == job.path


@pytest.mark.skipif(os.getuid() == 0, reason="root may write everywhere")
def test_a_place_where_one_may_not_write_is_said(tmp_path):
    tmp_path.chmod(0o500)
    with pytest.raises(SequencerError, match="can't be made: Permission denied"):
        begin_job(tmp_path / "job")
    tmp_path.chmod(0o700)


def test_a_card_of_an_older_job_is_still_read(tmp_path):
    card = tmp_path / "job.yaml"
    card.write_text("title: x\nid: a\nmachine: m.yaml\nsessions: [90, 60 min]\n", encoding="utf-8")
    assert read_card(card).sittings == (90, 60)


@pytest.mark.parametrize("chance", ["1", "no", "-0.2"])
def test_a_chance_that_is_none_is_said_with_its_line(tmp_path, chance):
    card = tmp_path / "job.yaml"
    card.write_text(f"title: x\nid: a\nmachine: m.yaml\nchance: {chance}\n", encoding="utf-8")
    with pytest.raises(SequencerError, match=r"job.yaml:4:\d+: `chance` lies between 0 and 1"):
        read_card(card)
