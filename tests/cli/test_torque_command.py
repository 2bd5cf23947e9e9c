import json

import pytest
import typer
from typer.testing import CliRunner

from sequencer.cli.before.torque import torque_command
from sequencer.errors import SequencerError
from tests.cli.conftest import ROOT


@pytest.fixture
def run():
    app = typer.Typer(rich_markup_mode=None)
    app.command()(torque_command)
    runner = CliRunner()

    def call(*arguments):
        return runner.invoke(app, list(arguments))

    return call


def test_a_torque_is_shown_in_the_unit_asked_for_and_beside_it_as_written(run):
    result = run("89in-lb", "--to", "N.m")
    assert result.exit_code == 0
    assert result.output == "10.06 N.m (89 lbf.in)\n"


def test_a_torque_is_judged_against_a_bolt_on_one_screen(run):
    result = run("--thread", "M8", "--class", "8.8", "--torque", "25N.m")
    assert result.exit_code == 0
    assert result.output.splitlines()[0] == (
        "usual: 25N.m on M8 8.8 is 74% of its proof load (49% to 123% over its friction)"
    )
    assert "computed, not the maker's: 16.3 to 20.5 N.m" in result.output
    assert result.output.splitlines()[-1] == "Nothing here replaces the maker's figure."
    assert len(result.output.splitlines()) < 24


def test_a_torque_beyond_proof_ends_with_exit_code_2_and_names_the_slip(run):
    result = run("89 lbf.ft", "--thread", "M6", "--class", "8.8")
    assert result.exit_code == 2
    assert "89 lbf.ft on M6 8.8 is 9 times its proof load; 89 lbf.in would be usual" in result.output


def test_an_adapter_along_the_wrench_lowers_the_setting(run):
    # agentcalc.com/torque-wrench-extension-calculator: 80 N·m, 40 cm wrench, 5 cm adapter: 71.1 N·m.
    result = run("80 N.m", "--adapter", "5 cm", "--wrench-length", "40 cm")
    assert (
        "set the wrench to 71 N.m for 80 N.m at the fastener: adapter 50 mm, along the wrench"
        in result.output
    )
    across = run("80 N.m", "--adapter", "5 cm", "--wrench-length", "40 cm", "--angle", "90")
    assert "set the wrench to 80 N.m" in across.output


def test_with_a_kind_that_seals_no_range_is_computed(run):
    assert "no figure in the file; take the maker's" in run("--thread", "M14x1.5", "--kind", "plug").output
    assert "not judged by preload" in run("30 N.m", "--thread", "M14x1.5", "--kind", "drain plug").output
    assert run("300 N.m", "--thread", "M14x1.5", "--kind", "plug").exit_code == 2


def test_without_a_torque_the_computed_range_is_shown_with_its_mark(run):
    result = run("--thread", "M8", "--class", "8.8", "--friction", "plated")
    assert "computed, not the maker's: 17 to 24 N.m" in result.output


def test_json_is_one_object_with_every_torque_in_its_unit(run):
    result = run(
        "25 N.m",
        "--thread",
        "M8",
        "--class",
        "8.8",
        "--json",
        "--adapter",
        "50 mm",
        "--wrench-length",
        "1 ft",
    )
    data = json.loads(result.output)
    assert data["torque"] == {"written": "25 N.m", "newton_metres": 25.0}
    assert data["units"]["lbf.ft"] == pytest.approx(18.439, abs=0.001)
    assert data["judgement"]["verdict"] == "usual"
    assert data["judgement"]["suggested"]["mark"] == "computed, not the maker's"
    assert data["setting"]["text"] == "21.5 N.m"


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["89"], "89 has no unit; a torque needs one"),
        ([], "there is nothing to work out; give a torque"),
        (["89in-lb", "--torque", "89in-lb"], "the torque is given twice"),
        (["89in-lb", "--to", "psi"], "'psi' is not a unit of torque; write one of N.m"),
        (["80 N.m", "--adapter", "50 mm"], "an adapter needs the wrench's length"),
        (["80 N.m", "--adapter", "50"], "50 has no unit"),
        (["80 N.m", "--angle", "90"], "an angle says nothing without an adapter"),
        (
            ["80 N.m", "--adapter", "5 cm", "--wrench-length", "40 cm", "--angle", "nan"],
            "nan is no angle of an adapter",
        ),
        (["--thread", "M8"], "there is nothing to work out"),
    ],
)
def test_what_cannot_be_worked_out_is_refused_with_what_to_write(run, arguments, says):
    result = run(*arguments)
    assert isinstance(result.exception, SequencerError)
    assert says in str(result.exception)


PUMP = "examples/bench-pump.yaml"


def test_a_joint_of_a_file_is_shown_with_order_passes_and_judgement(sequencer):
    ran = sequencer("torque", "--joint", PUMP, "cover/bolts", "--to", "lbf.in")
    assert ran.code == 0
    lines = ran.out.splitlines()
    assert lines[0] == "Pump cover: bolts (6 × M6, head 10)"
    assert lines[1] == "35.40 lbf.in (4 N.m), then 79.66 lbf.in (9 N.m); all 6 at one stage before the next"
    assert "crosswise, each time the one opposite, as numbered in the picture (generated" in ran.out
    assert "usual: 9 N.m on M6 8.8 is 64% of its proof load" in ran.out
    assert lines[-1] == "Nothing here replaces the maker's figure."


def test_a_joint_of_a_file_as_json_has_its_wrench_too(sequencer):
    arguments = ("--joint", PUMP, "cover/bolts", "--toolbox", "examples/toolbox.yaml", "--json")
    data = json.loads(sequencer("torque", *arguments).out)
    assert data["stages"] == ["4 N.m", "9 N.m"]
    assert [one["name"] for one in data["passes"]] == ["stage 1", "stage 2", "last round"]
    assert [one["wrench"] for one in data["wrench"]["settings"]] == [None, "small clicker"]
    assert data["judgement"]["verdict"] == "usual"


def test_a_joint_without_a_torque_says_so(sequencer):
    ran = sequencer("torque", "--joint", PUMP, "guard/screws")
    assert "no torque in the file" in ran.out
    assert "a bolt is not judged: no thread and no class is given" in ran.out


@pytest.mark.parametrize("more", [(), ("--loosening",)])
def test_the_picture_of_a_joint_is_written_as_svg(sequencer, tmp_path, more):
    path = tmp_path / "joint.svg"
    assert sequencer("torque", "--joint", PUMP, "cover/bolts", "-o", path, *more).code == 0
    svg = path.read_text(encoding="utf-8")
    assert svg.startswith("<svg ")
    assert f"Pump cover: bolts: {'loosening' if more else 'tightening'} order" in svg
    if not more:
        assert svg == (ROOT / "examples/guide/pump-cover.svg").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--joint", PUMP, "cover"), "--joint cover: that is a part; its joints are cover/bolts"),
        (("--joint", PUMP, "cover/blots"), "did you mean bolts?"),
        (("--joint", PUMP, "covr/bolts"), "did you mean cover?"),
        (("--joint", PUMP, "cover/bolts", "9 N.m"), "--joint takes everything from the file"),
        (("--joint", PUMP, "cover/bolts", "-o", "x.png"), "x.png: can't tell the kind of file"),
        (("--joint", PUMP, "motor/plug", "-o", "x.svg"), "nothing tells the order of its fasteners"),
        (("9 N.m", "-o", "x.svg"), "a picture is drawn of a joint in a file; add --joint MACHINE PART/JOINT"),
        (("9 N.m", "--loosening"), "a picture is drawn of a joint in a file"),
        (("--joint", "nowhere.yaml", "a/b"), "nowhere.yaml"),
        (("--joint", PUMP, "cover/bolts", "--to", "psi"), "'psi' is not a unit of torque"),
    ],
)
def test_a_joint_that_can_not_be_shown_is_refused_and_nothing_written(sequencer, arguments, says):
    ran = sequencer("torque", *arguments)
    assert (ran.code, ran.out) == (2, "")
    assert says in ran.err
    assert not (ROOT / "x.svg").exists()


def test_words_that_are_not_understood_are_refused_not_passed_over(run):
    """A verdict without them would answer another question."""
    done = run("--thread", "M8", "--class", "88", "--torque", "25N.m", "--in", "cheese")
    assert isinstance(done.exception, SequencerError)
    assert "'88' is not a property class" in str(done.exception)
    assert "'cheese' is no material" in str(done.exception)
    assert done.stdout == ""
