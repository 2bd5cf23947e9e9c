"""``sequencer ask``: the few questions whose answers would save most, and the answers to them."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Annotated

import typer

from sequencer.cli.replanning.found import tell_change
from sequencer.cli.shared.declared import argument
from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.job_options import Acting
from sequencer.cli.shared.toolbox import today

if TYPE_CHECKING:
    from sequencer.job.desk import Desk


@grouped
def ask(
    answers: Annotated[
        list[str] | None,
        argument(
            "[NUMBER ANSWER]...",
            "A question's number and its answer: no, yes, don't know, or the names of what was in the "
            "way. Left out: you are asked, or without a terminal the questions are printed.",
        ),
    ] = None,
    *,
    acting: Acting,
) -> None:
    """Ask the questions whose answers would save most.

    Example: sequencer ask 1 no 2 "don't know"
    """
    from sequencer.job.changes.asking import reply

    with acting.desk() as opened:
        if answers:
            said = opened.write(reply(_paired(answers), opened.file, today()))
            tell_change(said, opened, as_json=acting.as_json)
        elif acting.as_json or not sys.stdin.isatty():
            _print(opened, as_json=acting.as_json)
        else:
            _one_by_one(opened)


def _print(opened: Desk, *, as_json: bool) -> None:
    from sequencer.cli.shared.output import console, print_json
    from sequencer.document.jobs.asking import questions_document
    from sequencer.job.changes.asking import open_questions
    from sequencer.render.data.jobs.asking import questions_json
    from sequencer.render.terminal import show

    moment = opened.moment()
    found = open_questions(moment)
    if as_json:
        print_json(questions_json(moment.machine, found))
    else:
        show(questions_document(moment.machine, found), console())


def _one_by_one(opened: Desk) -> None:
    """The best question, and the best after its answer, until an empty one."""
    from sequencer.cli.shared.output import complain, console
    from sequencer.document.jobs.asking import HOW_ONE, NONE, question_words, things_words, worth_words
    from sequencer.document.underway.going_on import said_document
    from sequencer.errors import SequencerError
    from sequencer.job.changes.asking import open_questions, reply
    from sequencer.render.terminal import show

    typer.echo(f"{HOW_ONE} An empty line ends it.")
    while found := open_questions(opened.moment()):
        machine, question = opened.machine, found[0]
        typer.echo(f"\n{question_words(machine, question)}\n{things_words(machine, question)}")
        typer.echo(f"({worth_words(question)})")
        answer = str(typer.prompt(">", prompt_suffix=" ", default="", show_default=False)).strip()
        if not answer:
            return
        try:
            said = opened.write(reply([(question.key, answer)], opened.file, today()))
            show(said_document(said.words), console())
        except SequencerError as fault:
            complain(str(fault))
    typer.echo(NONE)


def _paired(words: list[str]) -> list[tuple[int, str]]:
    """Each number with the words up to the next."""
    from sequencer.errors import SequencerError

    found: list[tuple[int, str]] = []
    for word in words:
        if word.isdecimal():
            found.append((int(word), ""))
        elif found:
            number, said = found[-1]
            found[-1] = (number, f"{said} {word}".strip())
        else:
            break
    if not found or not all(said for _, said in found):
        raise SequencerError(
            "an answer has the number of its question and then its words", 'ask 1 no 2 "oil cooler"'
        )
    return found
