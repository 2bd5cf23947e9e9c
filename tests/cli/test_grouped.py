"""A group of options is written once and read by every command that names it."""

from dataclasses import dataclass, field
from typing import Annotated

import pytest
import typer
from typer.testing import CliRunner

from sequencer.cli.shared.grouped import grouped


@dataclass(frozen=True)
class Who:
    person: Annotated[str, typer.Option("--person", help="Who did it.")]
    tools: Annotated[list[str], typer.Option("--tool", help="With what.")] = field(default_factory=list)
    late: Annotated[bool, typer.Option("--late", help="After hours.")] = False


@pytest.fixture
def run():
    said = []
    app = typer.Typer(rich_markup_mode=None)

    @app.command()
    @grouped
    def work(part: str, who: Who, times: int = 1) -> None:
        """Work on a part."""
        said.append((part, who, times))

    def run(*words):
        ran = CliRunner().invoke(app, words)
        return ran, said

    return run


def test_a_command_is_given_its_group_whole(run):
    ran, said = run("pump", "--person", "Ann", "--tool", "a", "--tool", "b", "--late", "--times", "2")
    assert ran.exit_code == 0, ran.output
    assert said == [("pump", Who("Ann", ["a", "b"], late=True), 2)]


def test_defaults_are_the_groups_and_no_run_changes_them(run):
    for _ in range(2):
        _, said = run("pump", "--person", "Ann")
        said[-1][1].tools.append("spanner")
    assert said == [("pump", Who("Ann", ["spanner"]), 1)] * 2


def test_what_has_no_default_is_asked_for_and_help_stays(run):
    assert run("pump")[0].exit_code == 2
    shown = run("--help")[0].output
    assert "Work on a part." in shown
    assert shown.index("--person") < shown.index("--late") < shown.index("--times")
    assert "With what." in shown
