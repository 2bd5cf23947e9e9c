"""``sequencer did``: say what you did, in a line as you would say it."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Annotated

import typer

from sequencer.cli.shared.declared import argument, option
from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.job_options import Acting

if TYPE_CHECKING:
    from sequencer.job.desk import Desk, Outcome


_Lines = Annotated[
    list[str] | None,
    argument(
        "[LINE]...", "What you did, in your words: a line in quotes. Left out: you are asked, line by line."
    ),
]
_Answer = Annotated[
    str | None,
    option(
        "--answer",
        "TEXT",
        "Answer the question that the last line left open: a choice's number, or your words.",
    ),
]
_BeforeNow = Annotated[
    bool,
    typer.Option(
        "--before-now", help="It was done before you began to log it: the way back marks it as guessed."
    ),
]


@grouped
def did(
    lines: _Lines = None, answer: _Answer = None, before_now: _BeforeNow = False, *, acting: Acting
) -> None:
    """Say what you did. It goes into the job's machine file and is ticked.

    Example: sequencer did "oil cooler aside, 2 nuts 10"
    """
    from sequencer.errors import SequencerError

    if answer is None and not lines and not sys.stdin.isatty():
        raise SequencerError("nothing was said", 'say what you did: did "chain guard off, 3 screws PH2"')
    with acting.desk() as opened:
        if answer is not None:
            _tell(opened, opened.answer(_chosen(opened, answer)), as_json=acting.as_json)
        for line in lines or ():
            _tell(opened, opened.did(line, before_now=before_now), as_json=acting.as_json)
        if answer is None and not lines:
            _ask(opened, before_now=before_now)


def _ask(opened: Desk, *, before_now: bool) -> None:
    """Line after line, until an empty one; the number of a choice answers the question that is open."""
    from sequencer.cli.shared.output import complain
    from sequencer.document.jobs.telling import open_question
    from sequencer.errors import SequencerError

    typer.echo("Say what you did, a line at a time. An empty line ends it.")
    while line := str(typer.prompt(">", prompt_suffix=" ", default="", show_default=False)).strip():
        question = open_question(opened.moment(), opened.by.person)
        answers = question is not None and line.isdecimal() and 1 <= int(line) <= len(question.choices)
        try:
            said = (
                opened.answer(_chosen(opened, line)) if answers else opened.did(line, before_now=before_now)
            )
            _tell(opened, said, as_json=False, asked=True)
        except SequencerError as fault:
            complain(str(fault))


def _chosen(opened: Desk, text: str) -> str:
    """The answer that a number stands for."""
    from sequencer.document.jobs.telling import open_question

    question = open_question(opened.moment(), opened.by.person)
    number = int(text) if text.strip().isdecimal() else 0
    return question.choices[number - 1] if question and 1 <= number <= len(question.choices) else text


def _tell(opened: Desk, said: Outcome, *, as_json: bool, asked: bool = False) -> None:
    from sequencer.cli.shared.output import console, print_json
    from sequencer.document.underway.going_on import read_lines, told_document
    from sequencer.render.terminal import show

    moment = opened.moment()
    if as_json:
        from sequencer.document.jobs.telling import open_question
        from sequencer.render.data.jobs.outcome import told_json

        print_json(told_json(said, read_lines(moment, said), open_question(moment, opened.by.person)))
        return
    show(told_document(moment, said, person=opened.by.person, asked=asked), console())
