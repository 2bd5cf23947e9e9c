"""An assembly by itself: in a machine that has only what must be given to it."""

from pathlib import Path

import pytest

from sequencer.machine.assembly.alone import alone
from sequencer.machine.assembly.shelf import shipped
from tests.support.profile import counts

AXLE = """\
assembly: Axle, invented
parameters:
  raised: {is: task, about: sets it on stands}
  way: {is: needs, about: what is in the way}
  beside: {is: position}
  oil: {is: fluid}
  jack: {is: tool}
  engine: {is: part}
  line: {is: joint}
  bolts: {is: count, range: 3 to 8}
  head: {is: head, one_of: [17, 19]}
  grip: {is: torque, range: 80 to 110 N.m}
  note: text
parts:
  wheel:
    from: <beside>
    needs: [<raised>]
    wet: [<oil>]
    behind: [<way>, <line>, <engine>]
    note: <note>
    joints:
      bolts: {kind: bolt, head: <head>, count: <bolts>, torque: {value: <grip>, when: [<raised>]}}
      jack: {kind: bolt, tool: <jack>}
"""


@pytest.fixture
def axle(tmp_path):
    def written(text=AXLE, name="axle.yaml"):
        (tmp_path / name).write_text(text)
        return tmp_path / name

    return written


def test_what_has_to_be_given_is_there_and_is_called_what_it_is(axle):
    reading = alone(axle())
    assert reading.faults == ()
    machine = reading.machine
    assert (machine.name, machine.parts["<way>"].label) == ("Axle, invented", "What is in the way")
    assert machine.tasks["<raised>"].label == "Sets it on stands"
    bolts = machine.parts["wheel"].joints["bolts"]
    assert (bolts.count, bolts.torque.stages[0].text) == (8, "110 N.m")


def test_its_faults_are_at_its_own_lines_and_under_its_own_names(axle):
    broken = axle(AXLE.replace("<line>, <engine>", "whel"))
    (only,) = [str(fault) for fault in alone(broken).faults]
    assert only == f"{broken}:19:21: there is no part `whel`; did you mean `wheel`?"


def test_what_is_known_is_named_as_the_author_writes_it(axle):
    (only,) = [str(fault) for fault in alone(axle(AXLE.replace("needs: [<raised>]", "needs: [lift]"))).faults]
    assert only.endswith("there is no task `lift`; known here: <raised>")


def test_what_is_given_is_told_from_a_part_of_its_own_of_that_name(axle):
    own = alone(axle(f"{AXLE}  way: {{behind: [<way>], joints: {{clip: {{kind: clip}}}}}}\n"))
    assert own.faults == ()
    assert own.machine.parts["way"].joints != own.machine.parts["<way>"].joints


def test_what_it_includes_lies_beside_it(axle):
    axle("assembly: Tyre\nparts: {tyre: {joints: {bead: {kind: seal}}}}\n", "tyre.yaml")
    outer = axle(
        "assembly: Wheel\ninclude: [{assembly: tyre.yaml, as: t}]\nparts: {rim: {behind: [t-tyre]}}\n"
    )
    assert {"t-tyre", "rim"} <= set(alone(outer).machine.parts)


@pytest.mark.parametrize("name", counts(quick=["clutch-joint"], landing=shipped(), nightly=shipped()))
def test_one_of_the_library_goes_by_its_name(name):
    assert alone(Path(name)).faults == ()


@pytest.mark.parametrize("path", ["examples/bench-pump.yaml", "delivery-van", "nothing.yaml", "."])
def test_a_machine_or_nothing_is_none(path):
    assert alone(Path(path)) is None


def test_check_and_draw_take_one(axle, tmp_path, monkeypatch):
    from tests.support.shell import run

    code, out, err = run(["sequencer", "check", str(axle())], monkeypatch)
    assert (code, err) == (0, "")
    assert "good: Axle, invented" in out
    assert run(["sequencer", "draw", str(axle()), "-o", str(tmp_path / "axle.svg")], monkeypatch)[0] == 0
    code, _, err = run(["sequencer", "plan", str(axle()), "--off", "wheel"], monkeypatch)
    assert code == 2
    assert "no machine by itself" in err
