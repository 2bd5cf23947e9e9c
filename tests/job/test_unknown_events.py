"""A journal with events that this program can't make sense of: they are left out and said, nothing breaks."""

import json
import sqlite3

import pytest

from sequencer.errors import SequencerError
from sequencer.job.desk import Desk
from sequencer.job.journal.events import Event, EventError, EventKind, checked
from sequencer.job.reports.status import status
from tests.job.conftest import ANN
from tests.support.profile import before_landing, counts

BAD = [
    ("welded", "{}"),
    ("done", "{"),
    ("done", "[]"),
    ("done", "{}"),
    ("done", '{"ops": "undo guard/screws"}'),
    ("done", '{"ops": [1, 2]}'),
    ("skipped", '{"why": "x"}'),
    ("undone", "{}"),
    ("undone", '{"event": 5}'),
    ("note", "{}"),
    ("measured", '{"torque": "9 N.m"}'),
    ("photo", '{"op": "x"}'),
    ("changed", '{"steps": [[1]]}'),
    ("changed", '{"steps": [["one", "task isolate"]]}'),
    ("turned", '{"steps": 5}'),
    ("target", '{"off": "guard"}'),
    ("found", '{"edits": [["add"]]}'),
    ("found", '{"edits": [["weld", ["parts", "x"], 1, null]]}'),
    ("trouble", '{"edits": 5}'),
    ("stopped", '"lunch"'),
]


def in_database(job, words, *values):
    """Something said to the journal's database past the program."""
    database = sqlite3.connect(job.path / "journal.db")
    with database:
        found = database.execute(words, values).fetchall()
    database.close()
    return found


def smuggle(job, kind, body, time="2026-11-25T10:00:00+00:00"):
    """Write an event past the program, as another one might."""
    in_database(
        job,
        "insert into sequencer_event (id, job, time, recorded, person, device, kind, body) "
        "values (lower(hex(randomblob(16))), ?, ?, '2026-11-25T10:00:00+00:00', 'Bo', 'phone', ?, ?)",
        job.card.id,
        time,
        kind,
        body,
    )


@before_landing
@pytest.mark.parametrize(("kind", "body"), counts(quick=BAD[::3], landing=BAD, nightly=BAD))
def test_an_event_that_makes_no_sense_is_left_out_and_kept_in_the_log(job, kind, body):
    smuggle(job, kind, body)
    desk = Desk(job, ANN)
    desk.done("1-3")
    assert desk.station() is not None
    assert status(desk.moment()).unread == 1
    (strange,) = desk.state().of(EventKind.UNKNOWN)
    assert strange.event.body["kind"] == kind
    assert strange.event.body["why"]
    assert len(desk.log()) == 4
    desk.undo()
    assert desk.state().done == ()
    desk.close()


def test_a_time_that_is_none_is_taken_as_the_time_of_recording(job):
    smuggle(job, "note", '{"text": "x"}', time="yesterday")
    desk = Desk(job, ANN)
    assert desk.log()[-1].event.kind is EventKind.UNKNOWN
    desk.close()


@pytest.mark.parametrize(
    ("kind", "body"), [one for one in BAD if one[0] != "welded" and one[1][:1] == "{"][1:]
)
def test_no_such_event_is_taken(kind, body):
    with pytest.raises(EventError, match=kind):
        checked(Event(EventKind(kind), json.loads(body)))
    assert issubclass(EventError, SequencerError)
