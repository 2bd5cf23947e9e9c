"""``--look-first``: the looks worth making before a plan, and what to check before each lift."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sequencer.cli.shared.declared import option
from sequencer.cli.shared.output import complain

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sequencer.plan.closing.toolbox import Equipment
    from sequencer.plan.looks.looks import Record
    from sequencer.plan.plan import Teardown

LookFirst = Annotated[
    bool,
    typer.Option(
        "--look-first", help="Start with the looks worth taking, and say what to check before each lift."
    ),
]
Looked = Annotated[
    list[Path],
    option(
        "--looked",
        "PATH",
        "With --look-first: your own record: a job's folder, your jobs' folder, or a file of counts.",
        envvar="SEQUENCER_LOOKED",
        show_envvar=False,
    ),
]


def check_look_first(look_first: bool, people: int) -> None:
    """Refuse what means nothing, before anything is planned.

    Raises:
        SequencerError: Several people: looks are put into one person's plan.
    """
    from sequencer.errors import SequencerError

    if look_first and people > 1:
        raise SequencerError(
            "--look-first is for one person's plan", "leave --people away, and look together"
        )


def own_record(paths: Sequence[Path]) -> Record:
    """The person's own record, which is said on the error stream; empty without a path.

    Raises:
        SequencerError: One of them holds no record, or can't be read.
    """
    if not paths:
        return {}
    from sequencer.document.plans.looks import own_record_words
    from sequencer.job.looked import record_at, summed

    jobs = {f"{path}: {job}": counts for path in paths for job, counts in record_at(path).items()}
    record = summed(jobs)
    complain(own_record_words(record, len(jobs)))
    return record


def show_look_first(found: Teardown, kit: Equipment | None, looked: Sequence[Path], *, as_json: bool) -> None:
    """Print a plan with its looks."""
    from sequencer.cli.shared.output import console, print_json
    from sequencer.document.plans.looks import looks_document
    from sequencer.plan.looks.looks import look_first
    from sequencer.render.data.plans.looks import looks_json
    from sequencer.render.terminal import show

    looks = look_first(found, own_record(looked))
    if as_json:
        print_json(looks_json(looks, kit))
        return
    show(looks_document(looks, kit), console())
