"""``sequencer learn``: what a job has taught."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sequencer.cli.shared.declared import option
from sequencer.cli.shared.job_options import JobJson, JobOption, Person, desk

if TYPE_CHECKING:
    from sequencer.job.learning.learning import Offer
    from sequencer.job.learning.pace import KindPace, PersonalPace


_Write = Annotated[
    str | None,
    option(
        "--write",
        "NUMBERS",
        "Write these into the machine file: 1,3 or all. Left out: you are asked, one by one.",
    ),
]
_Into = Annotated[
    Path | None,
    option("--into", "FILE", "The machine file to write to, if not the one that the job came from."),
]
_PaceFile = Annotated[
    Path | None,
    option(
        "--pace-file", "FILE", "Your pace file. Left out: sequencer/pace-NAME.toml in your settings folder."
    ),
]


def learn(
    write: _Write = None,
    into: _Into = None,
    pace_file: _PaceFile = None,
    job: JobOption = None,
    person: Person = None,
    as_json: JobJson = False,
) -> None:
    """Save finds to the machine file, and times to your pace.

    Each find is offered separately.

    Example: sequencer learn --write all
    """
    from sequencer.cli.shared.output import console, print_json
    from sequencer.document.underway.going_on import said_document
    from sequencer.document.underway.learnt import learnt_document
    from sequencer.job.learning import learning
    from sequencer.job.learning.pace import PersonalPace, factors, own_file, read_pace
    from sequencer.render.data.jobs.learning import LearningData
    from sequencer.render.terminal import show

    with desk(job, person) as opened:
        moment, who = opened.moment(), opened.by.person
        origin = into or learning.origin_of(moment)
        kept = pace_file or own_file(who)
        former = read_pace(kept) if kept.is_file() else PersonalPace()
        found = learning.offers(moment, who, origin, former)
        pace = learning.new_pace(moment, who, former)
        told = factors(pace, moment.machine) if pace else {}
    if as_json:
        data = LearningData.of(None, into=str(origin), offers=found, pace_file=str(kept), pace=told)
        print_json(data.plain())
        return
    out = console()
    show(learnt_document(found, told, origin, kept, who), out)
    chosen, with_pace = _chosen(write, found, told)
    if chosen:
        words = learning.write(origin, chosen)
        out.print(f"Written into {origin}: {len(chosen)} of {len(found)}.", soft_wrap=True)
        show(said_document(words), out)
    if pace and with_pace:
        _write_pace(kept, pace)
        out.print(f"Your pace is in {kept}; plan with it: --pace {kept}", soft_wrap=True)


def _chosen(write: str | None, found: Sequence[Offer], pace: dict[str, KindPace]) -> tuple[list[Offer], bool]:
    """What is to be written: by ``--write``, or by asking whoever sits at a terminal."""
    from sequencer.errors import SequencerError

    if write is None:
        if not sys.stdin.isatty():
            if found or pace:
                typer.echo("Nothing was written; --write all, or --write with numbers and p for the pace.")
            return [], False
        chosen = [offer for offer in found if typer.confirm(offer.words, default=False)]
        return chosen, bool(pace) and typer.confirm("Keep the pace", default=True)
    words = {word.strip() for word in write.split(",") if word.strip()}
    if words == {"all"}:
        return list(found), bool(pace)
    unknown = words - {"p"} - {str(number) for number in range(1, len(found) + 1)}
    if unknown:
        raise SequencerError(
            f"--write {write}: there is no offer {min(unknown)}",
            f"the offers are 1 to {len(found)}, and p for the pace" if found else "there are none",
        )
    return [offer for number, offer in enumerate(found, 1) if str(number) in words], "p" in words and bool(
        pace
    )


def _write_pace(kept: Path, pace: PersonalPace) -> None:
    from sequencer.cli.shared.output import write_output
    from sequencer.errors import SequencerError
    from sequencer.job.learning.pace import pace_text

    try:
        kept.parent.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise SequencerError(
            f"{kept.parent} can't be made: {fault.strerror}", "name a file: --pace-file"
        ) from fault
    write_output(kept, pace_text(pace).encode())
