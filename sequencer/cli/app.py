"""The command ``sequencer``: each command in a file of its own, loaded only when it is called."""

from __future__ import annotations

import os
import sys

import typer

from sequencer.cli import (
    blockers,
    check,
    draw,
    export,
    extras,
    parts,
    plan,
    refit,
    scan,
    schema,
    sheet,
    survey,
    tags,
    tools,
    torque,
)
from sequencer.cli.job_commands import JOB_COMMANDS
from sequencer.cli.output import complain
from sequencer.errors import SequencerError

app = typer.Typer(
    name="sequencer",
    help="Plan how to take a machine apart and put it back together, in the proven quickest order.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
for command in (
    plan.plan,
    refit.refit,
    draw.draw,
    check.check,
    blockers.blockers,
    extras.extras,
    scan.scan,
    schema.schema,
    survey.survey,
    sheet.sheet,
    tags.tags,
    parts.parts,
    tools.tools,
    export.export,
):
    app.command()(command)
app.command("torque")(torque.torque_command)
for name, job_command in JOB_COMMANDS.items():
    app.command(name)(job_command)


@app.callback(invoke_without_command=True)
def version(
    *, show: bool = typer.Option(False, "--version", help="Print the version and stop.", is_eager=True)
) -> None:
    """Plan how to take a machine apart and put it back together, in the proven quickest order."""
    if show:
        from sequencer import __version__

        typer.echo(__version__)
        raise typer.Exit


def main() -> None:
    """Run the command line; every fault that the user can mend ends in one message and exit code 2."""
    for stream in (sys.stdout, sys.stderr):
        # A terminal that can't show a sign gets it spelt out; no plan fails for that.
        stream.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]
    try:
        app(prog_name="sequencer")
    except SequencerError as fault:
        complain(str(fault))
        sys.exit(2)
    except BrokenPipeError:
        # The reader has gone (`| head`): nothing more to say, and nothing to say it to.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
