"""``sequencer survey``: a machine described by answering questions on the terminal."""

from __future__ import annotations

import re
import shlex
import shutil
import sys
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sequencer.cli.shared.declared import option
from sequencer.cli.shared.options import TypicalJobs
from sequencer.cli.shared.output import complain
from sequencer.errors import SequencerError

if TYPE_CHECKING:
    from sequencer.machine.survey import Survey, SurveyQuestion

_COMMANDS = (
    ("?", "the open questions, to take another one first"),
    ("later", "leave this one open for now (don't know yet)"),
    ("undo", "take back the last answer"),
    ("change", "mend an old answer and keep what came after it: change 3; change alone lists them"),
    ("file", "the machine file as it would be now"),
    ("quit", "leave; all answers are kept"),
    ("help", "these words, and how this answer can be written"),
)
_CHANGE = re.compile(r"change(?:\s+(?P<number>\d+)(?:[:,]?\s+(?P<text>.+))?)?", re.IGNORECASE)
_OFTEN = 12
"""Most choices that are shown; the others can be typed all the same."""


class _Leave(Exception):  # noqa: N818 - it ends the conversation, and is no fault
    """The person leaves."""


def survey(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="The machine file to write; answers are kept beside it.")
    ],
    off: Annotated[str | None, option("--off", "PART", "What you want off, in your words.")] = None,
    like: Annotated[
        str | None,
        option(
            "--like",
            "TYPE",
            "A machine of the library, or a file, that yours is like: only what differs is asked.",
        ),
    ] = None,
    job: TypicalJobs = [],  # noqa: B006 - typer makes its own
) -> None:
    """Write a machine file by answering questions.

    Example: sequencer survey pump.yaml --off "water pump"
    """
    from sequencer.machine.survey.short_lines import pieces
    from sequencer.plan.like import open_survey

    if like is None and job and not file.with_suffix(".survey.jsonl").exists():
        raise SequencerError("a job is one of a type's, and no type was named", "add --like TYPE")
    talk = _Talk(open_survey(file, like, pieces(off) if off else (), job))
    try:
        talk.begin(off)
        talk.go_on()
    except (_Leave, EOFError, KeyboardInterrupt):
        talk.leave()


class _Talk:
    """One sitting: questions out, answers in."""

    def __init__(self, known: Survey) -> None:
        self.survey = known
        assert known.path is not None
        self.file = known.path
        self._asked: str | None = None
        self._hinted: set[str] = set()

    def begin(self, off: str | None) -> None:
        """Say where the survey stands, and what words it takes."""
        said = len(self.survey.answers)
        if said:
            _say(f"Going on with {self.file.name}: {_many(said, 'answer')} so far.")
        else:
            _say("A choice by its number, or a short line in your words. `help` says more.")
            if self.survey.source:
                _say("Enter alone says: as in the type. `later` says that you don't know.")
        if off is None or self.survey.source:
            return
        if any(one.id == "off" for one in self.survey.open_questions):
            _beneath(f"= {self.survey.answer('off', off)}")
        elif off.casefold() not in [one.casefold() for pair in self.survey.parts.items() for one in pair]:
            first = next(iter(self.survey.parts.values()))
            raise SequencerError(
                f"{self.file} was begun to get the {first} off", "leave --off out, or name another file"
            )

    def go_on(self) -> None:
        """Ask until nothing is open, or the rest is to stay open; then write the file."""
        while (question := self._next()) is not None:
            self._ask(question)
        self._write()

    def _next(self) -> SurveyQuestion | None:
        left = self.survey.open_questions
        picked = next((one for one in left if one.id == self._asked), None)
        if picked or self.survey.question or not left:
            return picked or self.survey.question
        _say("")
        _say(f"All is answered but what you put off ({len(left)}):")
        return self._pick("Which one now? Its number; Enter leaves them open and writes the file.")

    def _ask(self, question: SurveyQuestion) -> None:
        choices = _choices(question)
        said, left = len(self.survey.answers), len(self.survey.open_questions)
        _show(question, choices, f"[{said} answered, {left} open]")
        if question.sort not in self._hinted:
            self._hint(question)
        self._hinted.add(question.sort)
        while True:
            line = _read()
            line = line or question.skip
            if not line:
                continue
            if changing := _CHANGE.fullmatch(line):
                self._change(changing["number"], changing["text"] or "")
                return
            if line.casefold() in _words():
                if self._command(line.casefold(), question):
                    return
                continue
            try:
                _beneath(f"= {self.survey.answer(question.id, question.picked(line, choices))}")
            except SequencerError as why:
                if self.survey.changed_elsewhere:
                    raise
                _beneath(f"! {why}")
                continue
            self._asked = None
            return

    @staticmethod
    def _hint(question: SurveyQuestion) -> None:
        """How an answer can be written: told once for each kind of question, and on ``help``."""
        if question.hint:
            _say(f"    ({question.hint})", "     ")

    def _command(self, word: str, question: SurveyQuestion) -> bool:
        """Do what a word asks; whether a question has to be asked afresh."""
        if word in ("quit", "exit"):
            raise _Leave
        if word == "undo":
            gone = self.survey.undo()
            _beneath(f"= taken back: {gone.text}" if gone else "= there is nothing to take back")
            self._asked = gone.id if gone else None
            return True
        if word == "?":
            picked = self._pick("Which one? Its number; Enter goes on.")
            self._asked = picked.id if picked else self._asked
            return True
        if word == "help":
            for name, meaning in _COMMANDS:
                _beneath(f"{name:6} {meaning}")
            self._hint(question)
            return False
        try:
            typer.echo(self.survey.machine_text())
        except SequencerError as why:
            _beneath(f"! {why}")
        return False

    def _change(self, number: str | None, text: str) -> None:
        """Mend an old answer, and say what became of those that came after it."""
        answered = self.survey.answered
        if number is None:
            for place, (question, was) in enumerate(answered, start=1):
                _say(f"  {place:2}  {question.text} {was.text}", "      ")
            _say("Which one? Its number; Enter goes on.")
            number = _read()
            if again := _CHANGE.fullmatch(number):
                number, text = again["number"] or "", again["text"] or ""
        if not number.isdecimal() or not 1 <= int(number) <= len(answered):
            if number:
                _beneath(f"! there is no answer {number}: they are 1 to {len(answered)}")
            else:
                _say("")
            return
        question, was = answered[int(number) - 1]
        choices = _choices(question)
        if not text:
            _show(question, choices, "[changing an answer]")
            _say(f"So far: {was.text}. Enter keeps it.")
        while line := text or _read():
            if line.casefold() in ("quit", "exit"):
                raise _Leave
            try:
                changed = self.survey.change(int(number), question.picked(line, choices))
            except SequencerError as why:
                if self.survey.changed_elsewhere:
                    raise
                _beneath(f"! {why}")
                text = ""
                continue
            _beneath(f"= {changed.echo}")
            if changed.words:
                _beneath(f"= {changed.words}")
            return

    def _pick(self, prompt: str) -> SurveyQuestion | None:
        left = self.survey.open_questions
        if not left:
            return None
        for number, one in enumerate(left, start=1):
            _say(f"  {number:2}  {one.text}{'  (put off)' if one.later else ''}", "      ")
        _say(prompt)
        while line := _read():
            if line.isdecimal() and 1 <= int(line) <= len(left):
                return left[int(line) - 1]
            if line.casefold() in ("quit", "exit"):
                raise _Leave
            if changing := _CHANGE.fullmatch(line):
                self._change(changing["number"], changing["text"] or "")
                return self._pick(prompt)
            _beneath(f"! a number from 1 to {len(left)}, or Enter")
        return None

    def _write(self) -> None:
        reading = self.survey.save()
        for fault in reading.faults:
            complain(str(fault))
        open_still = len(self.survey.open_questions)
        still = f"; {_many(open_still, 'question')} left open, marked in it" if open_still else ""
        machine = reading.machine
        parts = _many(len(machine.parts), "part") if machine else "nothing that can be read"
        _say("")
        _say(f"Written: {self.file.name}: {parts}, {_many(len(self.survey.answers), 'answer')}{still}.")
        if machine and machine.from_type.unsure:
            many = len(machine.from_type.unsure)
            which = "1 part or joint of it is" if many == 1 else f"{many} parts and joints of it are"
            _say(f"{which} as in the type and not confirmed: the plan marks that, and the work confirms it.")
        shell = shlex.quote(str(self.file))
        wanted = " ".join(f"--off {shlex.quote(one)}" for one in self.survey.wanted)
        _say("Go on with:")
        typer.echo(f"  sequencer check {shell} --plan")
        typer.echo(f"  sequencer plan {shell} {wanted}")

    def leave(self) -> None:
        """Say that all is kept, and how to resume."""
        typer.echo("")
        said, left = len(self.survey.answers), len(self.survey.open_questions)
        if not said:
            _say("Nothing was answered, nothing is kept.")
            return
        _say(f"All is kept: {_many(said, 'answer')}, {left} still open. Go on at any time with:")
        typer.echo(f"  sequencer survey {shlex.quote(str(self.file))}")


def _words() -> set[str]:
    return {name for name, _ in _COMMANDS} - {"later", "change"} | {"exit"}


def _choices(question: SurveyQuestion) -> list[str]:
    from sequencer.machine.survey import DONT_KNOW

    return [one for one in question.choices if one != DONT_KNOW][:_OFTEN]


def _show(question: SurveyQuestion, choices: list[str], where: str) -> None:
    _say("")
    _say(where)
    _say(question.text)
    if choices and question.by_number != "no":
        row = "   ".join(f"{number}) {one}" for number, one in enumerate(choices, start=1))
        if len(row) + 4 <= _width():
            _say(f"    {row}", "    ")
        else:
            _columns(choices)
    elif choices:
        _say(f"    often: {', '.join(choices)}", "    ")


def _columns(choices: list[str]) -> None:
    """Choices in as many columns as the width holds."""
    entries = [f"{number:2}) {one}" for number, one in enumerate(choices, start=1)]
    wide = max(len(one) for one in entries) + 3
    many = max(1, (_width() - 4) // wide)
    for start in range(0, len(entries), many):
        _say("    " + "".join(one.ljust(wide) for one in entries[start : start + many]).rstrip(), "       ")


def _read() -> str:
    line = input("> ")
    if not sys.stdin.isatty():
        # A terminal shows what is typed; of a pipe, the record would lack the answers.
        typer.echo(line)
    return line.strip()


def _width() -> int:
    return min(100, max(40, shutil.get_terminal_size().columns)) - 1


def _beneath(text: str) -> None:
    _say(f"  {text}", "    ")


def _say(text: str, indent: str = "") -> None:
    lines = textwrap.wrap(
        text, _width(), subsequent_indent=indent, break_on_hyphens=False, replace_whitespace=False
    )
    typer.echo("\n".join(lines))


def _many(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"
