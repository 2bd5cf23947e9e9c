"""The command ``sequencer``: each command in a file of its own, loaded only when it is called."""

from __future__ import annotations

import errno
import sys
from collections.abc import Callable
from functools import cache
from typing import Any

import typer
from typer.core import TyperCommand, TyperGroup

from sequencer.cli.before import blockers, draw, extras, plan, refit, scan, torque
from sequencer.cli.files import check, compare, expand, models, schema, survey, take_over
from sequencer.cli.job_commands import JOB_COMMANDS
from sequencer.cli.paper import export, parts, sheet, tags, tools
from sequencer.cli.shared.output import complain, hold_outputs_against, open_streams, say_no_more
from sequencer.errors import SequencerError
from sequencer.version import __version__


class Command(TyperCommand):
    """A command whose outputs are held against the files that it was given."""

    def invoke(self, ctx: typer.Context) -> Any:  # type: ignore[override]  # noqa: ANN401 - what a command returns
        """Run it."""
        hold_outputs_against(ctx.params)
        return super().invoke(ctx)


AT_THE_JOB = "During the job"
"""Where a command stands that ``PANELS`` does not name."""
PANELS = {
    "Before the job": "plan refit blockers extras scan draw torque new",
    AT_THE_JOB: (
        "next did ask done skip undo status tonight where note looked log stop resume found trouble also "
        "turn bench"
    ),
    "After the job": "record learn",
    "On paper": "sheet tags parts tools export",
    "Machine files": "models survey check compare import expand schema",
}
"""What ``--help`` lists together."""


BEGINNING = (
    'sequencer new my-job --off "water pump"',
    "cd my-job",
    'sequencer did "belt guard off, 3 screws PH2"',
)
"""The first lines of somebody who has no machine file."""


class Commands(TyperGroup):
    """The commands, which ``--help`` lists by when they are of use."""

    def format_commands(self, ctx: typer.Context, formatter: Any) -> None:  # type: ignore[override]  # noqa: ANN401
        """Write a section for each panel."""
        panels = {panel: names.split() for panel, names in PANELS.items()}
        named = {name for names in panels.values() for name in names}
        panels[AT_THE_JOB] += [name for name in self.list_commands(ctx) if name not in named]
        wide = max(map(len, self.commands))
        for panel, names in panels.items():
            with formatter.section(panel):
                room = formatter.width - 6 - wide
                shown = [(name, self.commands[name].get_short_help_str(room)) for name in names]
                formatter.write_dl([(name.ljust(wide), words) for name, words in shown])
        with formatter.section("Start with nothing but what you want off"):
            for line in BEGINNING:
                formatter.write(f"{' ' * formatter.current_indent}{line}\n")


app = typer.Typer(
    name="sequencer",
    cls=Commands,
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
    expand.expand,
    compare.compare,
    models.models,
    survey.survey,
    sheet.sheet,
    tags.tags,
    parts.parts,
    tools.tools,
    export.export,
):
    app.command(cls=Command)(command)
app.command("import", cls=Command)(take_over.import_machine)
app.command("torque", cls=Command)(torque.torque_command)
for name, job_command in JOB_COMMANDS.items():
    app.command(name, cls=Command)(job_command)


@app.callback(invoke_without_command=True)
def version(
    *, show: bool = typer.Option(False, "--version", help="Print the version and stop.", is_eager=True)
) -> None:
    """Plan how to take a machine apart and put it back together, in the proven quickest order."""
    if show:
        typer.echo(__version__)
        raise typer.Exit


@cache
def whole() -> Callable[..., Any]:
    """All commands, put together once: that takes a tenth of a second."""
    return typer.main.get_command(app)


def main() -> None:
    """Run the command line; every fault that the user can mend ends in one message and exit code 2."""
    open_streams()
    try:
        try:
            whole()(prog_name="sequencer")
        finally:
            sys.stdout.flush()
    except SequencerError as fault:
        complain(str(fault))
        sys.exit(2)
    except OSError as fault:
        # Windows calls a pipe without a reader an invalid argument (bugs.python.org/issue35754).
        if isinstance(fault, BrokenPipeError) or (fault.errno == errno.EINVAL and not fault.filename):
            # The reader has gone (`| head`): nothing more to say, and nothing to say it to.
            say_no_more()
            sys.exit(0)
        # What can't be printed comes without the name of a file: a full disk behind `>`, a terminal gone.
        from sequencer.machine.edit.atomic import cannot_write

        say_no_more()
        complain(str(cannot_write(fault.filename or "what this prints", fault)))
        sys.exit(2)
