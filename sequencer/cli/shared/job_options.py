"""Options that the commands of a job share, and the desk that they open."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sequencer.cli.shared.declared import argument, option

if TYPE_CHECKING:
    from sequencer.job.desk import Desk, Outcome

JobOption = Annotated[
    Path | None,
    option(
        "--job",
        "FOLDER",
        "The job's folder. Left out: the job you are in.",
        envvar="SEQUENCER_JOB",
        show_envvar=False,
    ),
]
Person = Annotated[
    str | None,
    option(
        "--person",
        "NAME",
        "Your name. Left out: the job's one person, or whoever is logged in.",
        envvar="SEQUENCER_PERSON",
        show_envvar=False,
    ),
]
Device = Annotated[
    str | None,
    option(
        "--device",
        "NAME",
        "The device's name. Left out: this computer's.",
        envvar="SEQUENCER_DEVICE",
        show_envvar=False,
    ),
]
Steps = Annotated[
    str, argument("STEPS", "Step numbers: 5, 3-6, 3,5,7; or an operation: 'undo guard/screws'.")
]
JobJson = Annotated[bool, typer.Option("--json", help="Print JSON instead of text.")]


@dataclass(frozen=True)
class Acting:
    """The options of a command that writes into a job's journal."""

    job: JobOption = None
    person: Person = None
    device: Device = None
    as_json: JobJson = False

    def desk(self) -> AbstractContextManager[Desk]:
        """The desk of the job that is written to."""
        return desk(self.job, self.person, self.device)


@contextmanager
def desk(job: Path | None, person: str | None = None, device: str | None = None) -> Iterator[Desk]:
    """The desk of the job that the command is for.

    Raises:
        NoJobError: There is none.
    """
    from sequencer.cli.shared.output import complain
    from sequencer.job.whose import open_desk

    with open_desk(job, person, device) as opened:
        yield opened
        if opened.word:
            complain(opened.word)


def tell(said: Outcome, opened: Desk, *, as_json: bool, then_next: bool = False) -> None:
    """Say what an act came to, and what comes next."""
    from sequencer.cli.shared.output import console, print_json

    if as_json:
        from sequencer.render.data.jobs.outcome import outcome_json

        print_json(outcome_json(said))
        return
    from sequencer.document.underway.going_on import next_document, said_document
    from sequencer.render.terminal import show

    out = console()
    show(said_document(said.words), out)
    if then_next:
        show(next_document(opened.moment(), person=opened.by.person), out)
