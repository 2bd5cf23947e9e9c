"""The job's copy of its machine file: kept in the journal, told from it if lost, written by one at a time."""

import threading
from datetime import date

import pytest

from sequencer.errors import SequencerError
from sequencer.job.changes.finds import Find
from sequencer.job.desk import Desk
from sequencer.job.journal.events import EventKind
from sequencer.job.journal.journal import FORMAT
from sequencer.job.reports.record import torque_record
from sequencer.job.reports.status import status
from sequencer.machine.edit import Editor
from sequencer.machine.faults import MachineFileError
from sequencer.machine.reading import load
from sequencer.plan.practice.rules import Practice
from sequencer.render.data.jobs.job import next_json
from tests.job.conftest import ANN, BO, PUMP, begin_job
from tests.job.test_unknown_events import in_database
from tests.support.profile import before_landing, counts

ON = date(2026, 11, 25)


def kept(desk):
    return [one.event.body["text"] for one in desk.log() if one.event.kind is EventKind.MACHINE]


def lose(job):
    job.machine.unlink()


def spoil(job):
    job.machine.write_text(
        job.machine.read_text("utf-8").replace("behind: [guard]", "behind: [gard]"), "utf-8"
    )


def shred(job):
    job.machine.write_bytes(b"\xff\xfe: [")


def test_the_journal_has_the_machine_file_from_the_beginning(desk):
    assert kept(desk) == [PUMP.read_text("utf-8")]


def test_what_a_hand_changes_in_the_file_is_kept_with_the_next_act(desk, job):
    text = job.machine.read_text("utf-8").replace("Belt guard", "Guard of the belt")
    job.machine.write_text(text, "utf-8")
    desk.done("1")
    desk.done("2")
    assert kept(desk)[1:] == [text]
    desk.undo()
    desk.undo()
    assert kept(desk)[1:] == [text]


def lose_the_target(job):
    """A file that can be read, of a machine without what the job is to take off."""
    job.machine.write_text(
        job.machine.read_text("utf-8").replace("impeller", "rotor").replace("Impeller", "Rotor"), "utf-8"
    )
    assert load(job.machine)


HARMS = (lose, lose_the_target, spoil, shred)


@before_landing
@pytest.mark.parametrize("harm", counts(quick=HARMS[:2], landing=HARMS, nightly=HARMS))
def test_without_its_file_a_job_is_told_from_the_journal_and_takes_words(desk, job, harm):
    desk.found(Find("upper stay", {"blocks": ("motor",)}, held=("bolt 10 x2",)), ON)
    desk.done("1-2")
    before = desk.moment()
    harm(job)
    for opened in (desk, Desk(job, ANN)):
        moment = opened.moment()
        assert "told from the journal's copy" in moment.sight.word
        assert str(job.path) not in moment.sight.word
        assert moment.machine.parts.keys() == before.machine.parts.keys()
        assert status(moment, "Ann").done == 2
        assert torque_record(moment) == torque_record(before)
        assert opened.note("the file is gone").words == ("noted",)
        opened.stop("for today")
        opened.resume()
        with pytest.raises(SequencerError):
            opened.done("3")
    assert len(kept(desk)) == 1


@before_landing
@pytest.mark.parametrize("harm", [lose, spoil, shred])
def test_the_copy_is_put_back_and_what_stood_there_is_kept_beside_it(desk, job, harm):
    desk.found(Find("upper stay", {"blocks": ("motor",)}, held=("bolt 10 x2",)), ON)
    whole = job.machine.read_bytes()
    harm(job)
    harmed = job.machine.read_bytes() if job.machine.exists() else None
    words = desk.restore()
    assert job.machine.read_bytes() == whole
    aside = job.path / "bench-pump.replaced-1.yaml"
    assert (aside.read_bytes() if aside.exists() else None) == harmed
    assert (aside.name in " ".join(words)) == (harmed is not None)
    assert "nothing was changed" in desk.restore()[0]
    desk.done("1")


def test_a_job_of_an_older_program_opens_and_keeps_its_file_from_the_next_act_on(job):
    in_database(job, "delete from sequencer_event where kind = 'machine'")
    in_database(job, "update sequencer_job set format = 1")
    desk = Desk(job, ANN)
    with pytest.raises(SequencerError, match="begun without a copy"):
        desk.restore()
    desk.done("1")
    assert kept(desk) == [PUMP.read_text("utf-8")]
    assert in_database(job, "select format from sequencer_job") == [(FORMAT,)]
    desk.close()


def test_a_file_that_was_lost_before_the_journal_had_it_is_missed_with_a_remedy(job):
    in_database(job, "delete from sequencer_event where kind = 'machine'")
    lose(job)
    desk = Desk(job, ANN)
    with pytest.raises(SequencerError, match="put this job's copy of the machine file back"):
        desk.moment()
    desk.close()


def test_an_act_that_needs_the_machine_is_refused_with_the_faults_of_the_file(desk, job):
    spoil(job)
    with pytest.raises(MachineFileError, match="did you mean `guard`"):
        desk.done("1")


@before_landing
@pytest.mark.parametrize("seed", range(counts(quick=1, landing=3, nightly=3)))
def test_a_find_on_one_device_and_ticks_on_others_all_come_through(job, seed):
    desks = [Desk(job, by) for by in (ANN, BO, BO)]
    faults, start = [], threading.Barrier(3)

    def say(*acts):
        start.wait()
        for act in acts:
            try:
                act()
            except SequencerError as why:
                faults.append(why)

    ann, bo, reader = desks
    finds = [
        lambda n=n: ann.found(Find(f"stay {n}", {"blocks": ("impeller",)}, held=("bolt 10",)), ON)
        for n in range(4)
    ]
    ticks = [lambda n=n: bo.done(str(n)) for n in range(1, 5)]
    threads = [
        threading.Thread(target=say, args=finds),
        threading.Thread(target=say, args=ticks),
        threading.Thread(target=say, args=[lambda: reader.moment().plan] * 12),
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert faults == []
    assert {f"stay-{n}" for n in range(4)} <= set(reader.machine.parts)
    assert len(reader.state().done) == 4
    for one in desks:
        one.close()


def test_an_order_that_is_kept_through_a_change_by_hand_can_be_told_with_its_choices(tmp_path):
    job = begin_job(tmp_path / "job", practice=Practice.ALL)
    editor = Editor(job.machine)
    editor.remove(("parts", "cover", "behind"))
    job.machine.write_text(editor.text, "utf-8")
    with Desk(job, ANN) as desk:
        moment = desk.moment()
        assert "remove bracket" in [step.operation.name for step in moment.plan.steps]  # not needed any more
        next_json(moment)


@before_landing
def test_a_find_is_taken_back_out_of_a_file_that_was_changed_by_hand_since(desk, job):
    desk.found(Find("upper stay", {"blocks": ("motor",)}, held=("bolt 10 x2",)), ON)
    find = desk.state().of(EventKind.FOUND)[0].event.id
    job.machine.write_text(job.machine.read_text("utf-8") + "# my own words\n", "utf-8")
    desk.done("1")
    desk.undo(find[:8])
    assert "upper-stay" not in desk.machine.parts
    assert "# my own words" in job.machine.read_text("utf-8")
    lose(job)
    assert "upper-stay" not in desk.machine.parts


def test_what_was_found_again_after_an_undo_stays_whole_when_later_words_are_taken_back(desk, job):
    """The lines of the first find stand where it put them: they are the second's."""
    pipe = Find("grease pipe", {"blocks": ("motor",)}, held=("union 14",))
    desk.found(pipe, ON)
    desk.undo()
    desk.found(pipe, ON)
    desk.did("grease pipe kinked, new one")
    before = job.machine.read_text("utf-8")
    desk.did("grease pipe bent near the union, needs a new bracket")
    assert job.machine.read_text("utf-8") != before
    desk.undo()
    assert job.machine.read_text("utf-8") == before
    assert desk.machine.parts["grease-pipe"].renew


@before_landing
def test_a_job_in_a_shops_database_keeps_its_machine_file_there(tmp_path, database):
    job = begin_job(tmp_path / "shop", database=database)
    desk = Desk(job, ANN)
    lose(job)
    assert "guard" in desk.machine.parts
    desk.restore()
    assert job.machine.read_bytes() == PUMP.read_bytes()
    desk.close()
