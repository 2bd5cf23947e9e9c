"""``did`` as an act of the journal: taken back whole, mended after a kill, once however often it is sent."""

import random
import signal
import subprocess
import sys
import time
import uuid
from datetime import date

import pytest

from sequencer.errors import SequencerError
from sequencer.job.changes.finds import Find
from sequencer.job.desk import By, Desk, RefusedError
from sequencer.job.journal.events import EventKind
from sequencer.machine import read_text
from tests.job.conftest import ANN, BO, begin_job
from tests.job.told.at_a_bare_job import bare_job, desk_at, held, order, reading, text_of
from tests.support.profile import before_landing, counts

LINES = (
    "chain guard off, 3 screws PH2",
    "oil cooler aside: 2 nuts 10; it was in the way of the fan shroud",
    "shroud off, same again on the other side",
    "drive belt off, tensioner 15, mark the direction",
    "feed pipe off, union 17, about a cup of oil came out",
    "before that, the earth strap, 1 nut 10",
    "jacked it up",
    "drained the coolant, 6 litres, plug 17",
    "unplugged the lambda sensor",
    "slackened the alternator, one bolt 13",
    "careful the plastic is brittle",
    "starter motor out. three bolts E12 from below",
    "no, 10",
    "no 4",
    "cover bolts 10 newton metres, manual page 12",
    "cover off, 6 bolts 10",
    "cylinder head off, 10 bolts 13",
    "head back on",
    "gearbox out, 42 kg, used the trolley jack",
    "same again",
    "two M6x25 left over",
)


@pytest.fixture
def desk(tmp_path):
    with desk_at(tmp_path / "job") as opened:
        yield opened


@before_landing
@pytest.mark.parametrize("line", counts(quick=LINES[1::2], landing=LINES, nightly=LINES))
def test_an_undo_takes_all_of_a_line_back(desk, line):
    desk.did("duct off, 2 clamps slot")
    before = held(desk)
    desk.did(line)
    desk.undo()
    assert held(desk) == before


@before_landing
def test_an_event_without_its_change_in_the_file_is_made_good_by_whoever_looks_next(desk):
    for line in LINES[:6]:
        before = desk.folder.machine.read_bytes()
        desk.did(line)
        told = desk.folder.machine.read_bytes()
        desk.folder.machine.write_bytes(before)  # as if the program had died between the two
        with Desk(desk.folder, BO) as other:
            assert other.moment().machine.name
        assert desk.folder.machine.read_bytes() == told


def test_a_line_that_is_sent_twice_is_one_act(desk):
    by = By("Ann", "phone", id=str(uuid.uuid4()))
    desk.did(LINES[0], by=by)
    after = held(desk)
    assert desk.did(LINES[0], by=by).repeated
    assert held(desk) == after


def test_two_devices_tell_at_once(tmp_path):
    folder = bare_job(tmp_path / "job")
    with Desk(folder, ANN) as ann, Desk(folder, BO) as bo:
        ann.moment()
        bo.did("cover off, 4 screws T20")
        ann.did("duct off, 2 clamps slot")
        assert order(ann) == order(bo) == ["cover", "duct"]
        assert {bag.number for bag in bo.moment().bags.values()} == {1, 2}
        ann.undo()
        assert order(bo) == ["cover"]
        assert bo.moment().state.done == ("undo cover/screws", "remove cover")


@before_landing
def test_an_act_in_the_middle_is_taken_back_and_the_others_stay(desk):
    first = desk.did("cover off").events[0]
    desk.did("duct off, 2 clamps slot")
    desk.undo(first[:8])
    assert order(desk) == ["duct"]
    assert desk.moment().state.done == ("undo duct/clamps", "remove duct")
    assert reading(desk).faults == ()


def test_what_was_said_of_a_part_later_goes_first(desk):
    first = desk.did("cooler aside, 2 nuts 10; it was in the way of the shroud").events[0]
    desk.correct("oil-cooler/nuts" if "oil-cooler" in desk.machine.parts else "cooler/nuts", {"count": "3"})
    with pytest.raises(RefusedError, match="what was said later is about it"):
        desk.undo(first[:8])
    desk.undo()
    desk.undo(first[:8])
    assert order(desk) == []


@before_landing
def test_what_a_hand_writes_into_the_file_stays(desk):
    desk.did("cover off, 4 screws T20")
    text = text_of(desk).replace("label: Cover\n", "label: Top cover # as I call it\n")
    desk.folder.machine.write_text(text + "# mine\n", "utf-8")
    desk.did("duct off")
    desk.undo()
    assert "label: Top cover # as I call it" in text_of(desk)
    assert text_of(desk).endswith("# mine\n")
    desk.did("top cover bracket off, 1 bolt 8")
    assert reading(desk).faults == ()


@before_landing
def test_a_line_taken_back_and_told_again_keeps_what_a_hand_wrote_since(desk):
    desk.did("cover off, 4 screws T20")
    desk.undo()
    desk.did("cover off, 4 screws T20")
    text = text_of(desk).replace("label: Cover\n", "label: Top cover\n")
    desk.folder.machine.write_text(text, "utf-8")
    desk.did("duct off")
    assert "label: Top cover" in text_of(desk)


def test_the_word_of_an_undo_is_the_line(desk):
    desk.did("cover off, 4 screws T20")
    assert desk.undo().words[0] == "taken back: did cover off, 4 screws T20"


TELL = """
import sys
from pathlib import Path
from sequencer.job.desk import By, Desk
desk = Desk.open(Path(sys.argv[1]), By("Ann", "laptop"))
desk.moment()
print("ready", flush=True)
for name in "guard cover duct shelf bracket pump rail lamp horn tank seat valve fan tray box plate".split():
    desk.did(f"{sys.argv[2]} {name} off, 2 bolts 10")
    print(name, flush=True)
"""
WHERE = ("engine", "gearbox", "axle", "roof", "winch", "steering")


@before_landing
def test_what_is_acknowledged_is_in_file_ticks_and_order_after_a_kill(tmp_path):
    job = bare_job(tmp_path / "job")
    rng = random.Random(6)
    for kill in range(counts(quick=1, landing=2, nightly=6)):
        words = [sys.executable, "-c", TELL, str(job.path), WHERE[kill]]
        with subprocess.Popen(words, stdout=subprocess.PIPE, text=True) as process:
            assert process.stdout.readline() == "ready\n"
            process.stdout.readline()
            time.sleep(rng.uniform(0, 0.5))
            process.send_signal(signal.SIGKILL)
            acknowledged = 1 + sum(1 for _ in process.stdout)
        with Desk(job, ANN) as desk:
            parts = [one for one in desk.moment().machine.parts if one.startswith(f"{WHERE[kill]}-")]
            assert len(parts) >= acknowledged
            assert {f"remove {name}" for name in parts} <= set(desk.state().done)
            assert set(parts) <= set(order(desk))
            assert reading(desk).faults == ()


@before_landing
@pytest.mark.parametrize("seed", range(counts(quick=0, landing=6, nightly=80)))
def test_did_undo_turn_found_and_correct_in_any_order(tmp_path, seed):
    """After every act the file is clean and the job can be told, and so while all is taken back."""
    rng = random.Random(seed)
    with desk_at(tmp_path / "job") as desk:
        script = []
        for _ in range(counts(quick=0, landing=24, nightly=30)):
            act, *words = _any_act(rng, desk)
            script.append((act, *words))
            try:
                getattr(desk, act)(*words)
            except SequencerError:
                script.append("refused")
            assert reading(desk).faults == (), script
            moment = desk.moment()
            assert not moment.sight.word, script
            assert moment.workable, script
            assert set(moment.state.done) <= set(moment.whole.operations), script
        for _ in range(60):
            try:
                desk.undo()
            except SequencerError:
                break
            assert reading(desk).faults == (), script


DAY = date(2026, 11, 29)
ANSWERS = ("just for room", "the fan shroud", "10", "cylinder head", "don't know")


def _any_act(rng, desk):
    joints = [joint.path for part in desk.machine.parts.values() for joint in part.joints.values()]
    match rng.randrange(10):
        case 0 | 1:
            return ("undo",)
        case 2:
            return ("turn",)
        case 3 if joints:
            return "correct", rng.choice(joints), {"count": str(rng.randint(1, 9))}
        case 4:
            part = rng.choice(list(desk.machine.parts))
            return (
                "found",
                Find(f"stay {rng.randint(1, 3)}", {"blocks": (part,)}, held=("bolt 10",)),
                date(2026, 11, 29),
            )
        case 5:
            return "answer", rng.choice(
                ("just for room", "the fan shroud", "10", "cylinder head", "don't know")
            )
        case _:
            return "did", rng.choice(LINES)


@before_landing
def test_a_job_with_a_file_takes_it_as_well(tmp_path):
    with Desk(begin_job(tmp_path / "job"), ANN) as desk:
        before = text_of(desk)
        desk.did("guard off")
        assert desk.state().of(EventKind.DID)[-1].event.body["parts"] == ["guard"]
        desk.did("upper stay off, 2 nuts 13")
        assert read_text(text_of(desk), "x").machine
        desk.undo()
        assert text_of(desk) == before


@before_landing
def test_what_is_new_in_a_job_with_a_file_keeps_its_place_among_all_that_was_done(tmp_path):
    with Desk(begin_job(tmp_path / "job"), ANN) as desk:
        desk.done("1-3")  # isolate, guard
        desk.did("upper stay off, 2 nuts 13")
        assert order(desk) == ["isolate", "guard", "upper-stay"]
        desk.done()
        done = desk.state().done[-1]
        desk.turn()
        assert len(order(desk)) == 4
        assert reading(desk).machine
        back = [step.operation.name for step in desk.plan().steps]
        assert back.index("fit upper-stay") < back.index("fit guard")
        desk.undo()
        assert order(desk) == ["isolate", "guard", "upper-stay"]
        assert desk.state().done[-1] == done
