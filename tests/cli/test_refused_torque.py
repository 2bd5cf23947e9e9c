"""A torque that the strength guard refuses comes through no door: it is judged once, where it is read."""

import pytest

from sequencer.machine import MachineFileError, read_text
from sequencer.machine.edit import Editor
from sequencer.machine.reading import load
from tests.job.conftest import PUMP
from tests.support.profile import before_landing

# The pulley's four M6 8.8 bolts: proof load 11.6 kN (ISO 898-1), so that 900 N.m is 64 times that at K 0.2.
BOLTS = "crack: {while: [belt], time: 20 s},              # broken loose while the belt still holds it\n"
RIGHT = f"{BOLTS}              torque: 9 N.m"
WRONG = f"{BOLTS}              torque: 900 N.m"
SAYS = "`pulley/bolts`: 900 N.m on M6 8.8 is 64 times its proof load"


def spoil(path):
    text = path.read_text(encoding="utf-8")
    assert text.count(RIGHT) == 1
    path.write_text(text.replace(RIGHT, WRONG), encoding="utf-8")
    return path


@pytest.fixture
def spoilt(tmp_path):
    path = tmp_path / "pump.yaml"
    path.write_bytes(PUMP.read_bytes())
    return spoil(path)


def test_whoever_reads_it_is_refused(spoilt):
    where = rf"pump.yaml:72:15: {SAYS}"
    for read in (load, lambda path: Editor(path).save()):
        with pytest.raises(MachineFileError, match=where):
            read(spoilt)
    assert read_text(spoilt.read_text(encoding="utf-8")).machine is None


@pytest.mark.parametrize(
    "command",
    [
        ["check"],
        ["plan", "--off", "pulley"],
        ["refit", "--off", "pulley"],
        ["sheet", "--off", "pulley", "-o", "{}.pdf"],
        ["new", "{}.job", "--machine", "{}", "--off", "pulley"],
        ["torque", "--joint", "{}", "pulley/bolts"],
    ],
    ids=lambda command: command[0],
)
def test_no_command_takes_it(spoilt, sequencer, command):
    words = [word.format(spoilt) for word in command]
    ran = sequencer(words[0], *([] if words[0] in ("new", "torque") else [spoilt]), *words[1:])
    assert ran.code == 2
    assert SAYS in ran.out + ran.err
    assert [one.name for one in spoilt.parent.iterdir()] == ["pump.yaml"]


@before_landing
def test_no_act_on_a_job_takes_it_once_its_copy_was_changed_by_hand(tmp_path, sequencer):
    job = tmp_path / "job"
    assert sequencer("new", job, "--machine", PUMP, "--off", "pulley").code == 0
    assert sequencer("done", "1-7", "--job", job).code == 0
    spoil(job / PUMP.name)
    for words in (["done"], ["done", "8", "--torque", "900 N.m"], ["turn"]):
        ran = sequencer(*words, "--job", job)
        assert ran.code == 2, words
        assert SAYS in ran.err
    told = sequencer("next", "--job", job)
    assert (told.code, "this is told from the journal's copy" in told.err) == (0, True)
    before = (job / PUMP.name).read_bytes()
    found = sequencer("found", "stay", "--blocks", "guard", "--held", "bolt 10", "--job", job)
    assert found.code == 2
    assert (job / PUMP.name).read_bytes() == before


def test_what_is_found_on_a_job_is_judged_before_it_is_written(tmp_path, sequencer):
    job = tmp_path / "job"
    assert sequencer("new", job, "--machine", PUMP, "--off", "pulley").code == 0
    before = (job / PUMP.name).read_bytes()
    ran = sequencer("found", "stay", "--blocks", "guard", "--held", "plug 17 M14x1.5 900 N.m", "--job", job)
    assert ran.code == 2
    assert "of the proof load of a solid 8.8 bolt" in ran.err
    assert (job / PUMP.name).read_bytes() == before
