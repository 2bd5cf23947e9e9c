"""``--help`` lists every command once, under when it is of use, in a line that is whole."""

import re

import pytest
import typer

from sequencer.cli.app import PANELS, app

COMMANDS = typer.main.get_command(app).commands


@pytest.fixture(scope="module")
def sections():
    from typer.testing import CliRunner

    shown = CliRunner().invoke(app, ["--help"], env={"COLUMNS": "80"}).output
    heads = re.split(r"^(\S.*):\n", shown, flags=re.MULTILINE)
    return dict(zip(heads[1::2], heads[2::2], strict=True))


def test_every_command_stands_in_one_section(sections):
    assert [name for name in sections if name in PANELS] == list(PANELS)
    listed = [line.split()[0] for panel in PANELS for line in sections[panel].splitlines() if line.strip()]
    assert sorted(listed) == sorted(COMMANDS)


def test_the_first_lines_are_whole(sections):
    assert [line for panel in PANELS for line in sections[panel].splitlines() if line.endswith("...")] == []


def test_a_section_names_commands_that_are_there():
    assert {name for names in PANELS.values() for name in names.split()} <= set(COMMANDS)


def test_every_command_that_takes_parts_off_takes_a_job_of_the_file_too():
    """But `also` and `bench`, whose --job is the folder of a job."""
    options = {name: {o for one in command.params for o in one.opts} for name, command in COMMANDS.items()}
    takes = {name for name, known in options.items() if "--off" in known}
    assert {name for name in takes if "--job" not in options[name]} <= {"survey"}
    folders = {
        name
        for name in takes
        for one in COMMANDS[name].params
        if "--job" in one.opts and one.metavar == "FOLDER"
    }
    assert folders == {"also", "bench"}


def test_options_that_say_what_to_do_all_count():
    from sequencer.cli.shared.options import Wanted
    from sequencer.machine import read_text

    part = "{joints: {j: {kind: clip}}}"
    text = f"machine: M\nparts: {{a: {part}, b: {part}, c: {part}}}\njobs: {{both: {{off: [b, a]}}}}\n"
    machine = read_text(text).machine
    told = Wanted(off=["a"], reach=["c"], job=["both"]).targets(machine)
    assert [str(one) for one in told] == ["a off", "b off", "reach c"]
