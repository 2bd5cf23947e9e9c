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
