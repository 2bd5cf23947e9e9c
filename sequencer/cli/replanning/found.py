"""``sequencer found``: something that nobody had drawn."""

from __future__ import annotations

import sys
from dataclasses import field, make_dataclass
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sequencer.cli.shared.declared import argument, option
from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.job_options import Acting
from sequencer.cli.shared.toolbox import today
from sequencer.machine.trade.relations import found_words

if TYPE_CHECKING:
    from fractions import Fraction

    from sequencer.job.desk import Desk, Outcome

Reshuffle = Annotated[
    str | None,
    option(
        "--reshuffle",
        "TIME",
        "Change the order you know only to save more than this: 5 min. Left out: 2 min.",
    ),
]


def _words(*, own: bool) -> Any:  # noqa: ANN401 - a class made of the table
    """A group of options: the words that say what a thing is in the way of, or what it waits for itself."""
    options = [
        (word.word, Annotated[list[str], typer.Option(f"--{word.word}", metavar="PART", help=word.help)])
        for _, word in found_words()
        if word.own is own
    ]
    return make_dataclass("Words", [(name, hint, field(default_factory=list)) for name, hint in options])


InTheWay, Waits = _words(own=False), _words(own=True)


_What = Annotated[
    str | None,
    argument(
        "[WHAT]", "What it is, in your words; or a part of the file. Left out: you are asked step by step."
    ),
]
_Held = Annotated[
    list[str],
    typer.Option("--held", metavar="JOINT", help='What holds it: "bolt 10 x2", "nut 13 M8 22 N.m".'),
]
_On = Annotated[str | None, option("--on", "PART", "No new part: add a joint to this one.")]
_Position = Annotated[str | None, option("--from", "POSITION", "Where you stand for it.")]
_Time = Annotated[str | None, option("--time", "TIME", "How long it takes to lift away once it is free.")]


@grouped
def found(
    what: _What = None,
    *,
    in_the_way: InTheWay,  # type: ignore[valid-type]
    held: _Held = [],  # noqa: B006 - typer copies it
    waits: Waits,  # type: ignore[valid-type]
    on: _On = None,
    position: _Position = None,
    time: _Time = None,
    reshuffle: Reshuffle = None,
    acting: Acting,
) -> None:
    """Add what you found to the job's machine file, and replan.

    Example: sequencer found "upper radiator stay" --blocks alternator --held "bolt 10 x2" --from left
    """
    from sequencer.errors import SequencerError
    from sequencer.job.changes.finds import Find, asked

    if what is None and not sys.stdin.isatty():
        raise SequencerError("nothing says what was found", 'say it: found "upper stay" --blocks alternator')
    said = {word: tuple(names) for group in (in_the_way, waits) for word, names in vars(group).items()}
    find = asked(_ask) if what is None else Find(what, said, tuple(held), on, position, time)
    with acting.desk() as opened:
        tell_change(opened.found(find, today(), seconds_of(reshuffle)), opened, as_json=acting.as_json)


def seconds_of(reshuffle: str | None) -> Fraction | None:
    """The time after ``--reshuffle``; None where none was given."""
    from sequencer.quantities import parse_seconds

    return None if reshuffle is None else parse_seconds(reshuffle)


def tell_change(said: Outcome, opened: Desk, *, as_json: bool) -> None:
    """Say in three lines what a new plan changes, then what else there is to say."""
    from sequencer.cli.shared.output import console, print_json
    from sequencer.document.jobs.changed import change_rows, last_change, says_nothing
    from sequencer.document.underway.going_on import next_document, said_document
    from sequencer.render.terminal import show

    moment = opened.moment()
    change = None if said.repeated else last_change(moment)
    if as_json:
        from sequencer.render.data.jobs.outcome import replanned_json

        print_json(replanned_json(said, change))
        return
    out = console()
    if change is not None and not says_nothing(change):
        show([change_rows(moment, change)], out)
    show(said_document(said.words), out)
    show(next_document(moment, person=opened.by.person), out)


def _ask(question: str, example: str) -> str:
    return str(typer.prompt(f"{question} ({example})", default="", show_default=False)).strip()
