import json

import pytest
import typer
from typer.testing import CliRunner

from sequencer.cli.torque import torque_command
from sequencer.errors import SequencerError


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
    assert result.output == "10.1 N.m (89 lbf.in)\n"


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
        (["--thread", "M8"], "there is nothing to work out"),
    ],
)
def test_what_cannot_be_worked_out_is_refused_with_what_to_write(run, arguments, says):
    result = run(*arguments)
    assert isinstance(result.exception, SequencerError)
    assert says in str(result.exception)
