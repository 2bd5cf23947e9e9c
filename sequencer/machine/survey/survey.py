"""A survey under way: its answers in a file beside the machine file, replayed into what is known."""

from __future__ import annotations

import copy
import hashlib
import json
from dataclasses import dataclass
from pathlib import Path

from sequencer.errors import SequencerError
from sequencer.machine.edit.atomic import replace_file
from sequencer.machine.reading import Reading, read_text
from sequencer.machine.survey.answers import hear
from sequencer.machine.survey.question import Question
from sequencer.machine.survey.questions import open_questions
from sequencer.machine.survey.said import Said
from sequencer.machine.survey.words import AnswerError
from sequencer.machine.survey.writing import machine_text

_VERSION = 1


@dataclass(frozen=True)
class Answer:
    """One answer as it was given."""

    id: str
    text: str


class SurveyError(SequencerError):
    """A survey that can't go on: its answers can't be read, or its machine file was changed by hand."""


def progress_path(path: Path) -> Path:
    """Where the answers for the machine file ``path`` are kept."""
    return path.with_name(f"{path.stem}.survey.jsonl")


class Survey:
    """The conversation that describes a machine. See the package for how it is used.

    Attributes:
        path: The machine file that it will write; ``None`` for one that is kept in memory alone.
        answers: The answers so far, in their order.
    """

    def __init__(self, path: Path | None = None, answers: list[Answer] | None = None) -> None:
        """Begin with some answers.

        Raises:
            SurveyError: One of them can't be taken.
        """
        self.path = path
        self.answers: list[Answer] = []
        self._said = Said()
        self._written: str | None = None
        self._stored: bytes | None = None
        for one in answers or []:
            try:
                self._take(one)
            except (AnswerError, KeyError) as why:
                raise SurveyError(
                    f"the answer `{one.text}` to `{one.id}` does not fit: {why}", "take it out"
                ) from why

    @classmethod
    def open(cls, path: Path | str) -> Survey:
        """The survey that writes the machine file ``path``, with the answers given so far.

        Raises:
            SurveyError: A machine file is there that no survey wrote, or the answers can't be read.
        """
        file = Path(path)
        stored = _stored(progress_path(file))
        if stored is None and file.exists():
            raise SurveyError(f"{file.name} is there already, and no survey wrote it", "name a new file")
        answers, written = _parse(stored or b"", progress_path(file))
        survey = cls(file, answers)
        survey._written, survey._stored = written, stored
        return survey

    @property
    def changed_elsewhere(self) -> bool:
        """Another program has written answers since; open the survey again to have them."""
        return self.path is not None and _stored(progress_path(self.path)) != self._stored

    # ---- Questions ----

    @property
    def question(self) -> Question | None:
        """What is asked next; ``None`` once all is answered but what was put off."""
        return next((one for one in self.open_questions if not one.later), None)

    @property
    def open_questions(self) -> list[Question]:
        """All that is not answered, those that were put off last. Any of them may be answered next."""
        return open_questions(self._said)

    @property
    def finished(self) -> bool:
        """Nothing is left open."""
        return not self.open_questions

    @property
    def parts(self) -> dict[str, str]:
        """The parts named so far: key and label."""
        return self._said.labels()

    # ---- Answers ----

    def answer(self, id: str, text: str) -> str:  # noqa: A002 - the name of the attribute that it takes
        """Take an answer and return how it was understood. ``don't know yet`` keeps the question open.

        Raises:
            AnswerError: It was not understood, contradicts an earlier one, or the question is not open.
            SurveyError: The answers were changed elsewhere; look again.
        """
        before = self._said
        # What a terminal could not decode has no place in a file.
        echo = self._take(Answer(id, text.encode("utf-8", "replace").decode("utf-8")))
        try:
            self._store()
        except SequencerError:
            self._said = before
            self.answers.pop()
            raise
        return echo

    def _take(self, one: Answer) -> str:
        if one.id not in {question.id for question in self.open_questions}:
            raise AnswerError(
                "this question is not open", "answer one of those that are, or take back the last answer"
            )
        said = copy.deepcopy(self._said)
        echo = hear(said, one.id, one.text)
        if said.targets:
            reading = read_text(machine_text(said), "the machine")
            wrong = next((fault for fault in reading.faults if fault.severity == "error"), None)
            if wrong is not None:
                raise AnswerError(wrong.problem, wrong.remedy)
        self._said = said
        self.answers.append(one)
        return echo

    def undo(self) -> Answer | None:
        """Take back the last answer, and return it; ``None`` if there is none.

        Raises:
            SurveyError: The answers were changed elsewhere; look again.
        """
        if not self.answers:
            return None
        *rest, last = self.answers
        fresh = Survey(self.path, rest)
        before = self.answers, self._said
        self.answers, self._said = fresh.answers, fresh._said
        try:
            self._store()
        except SequencerError:
            self.answers, self._said = before
            raise
        return last

    # ---- What is written ----

    def machine_text(self) -> str:
        """The machine file as it would be written now.

        Raises:
            SurveyError: No part was named yet.
        """
        if not self._said.targets:
            raise SurveyError("there is nothing to write yet", "say what you want off first")
        return machine_text(self._said)

    def save(self, path: Path | str | None = None) -> Reading:
        """Write the machine file, in one step, and return how it reads.

        Raises:
            SurveyError: Nothing was named yet, or the file there was changed by hand since.
            SequencerError: It can't be written.
        """
        file = self.path if path is None else Path(path)
        if file is None:
            raise TypeError("this survey has no file of its own")
        text = self.machine_text()
        content = text.encode("utf-8")
        there = _stored(file)
        if there not in (None, content) and hashlib.sha256(there or b"").hexdigest() != self._written:
            raise SurveyError(
                f"{file.name} was changed since the survey wrote it",
                "keep your changes: save the survey under another name",
            )
        replace_file(file, content, file.name)
        if file == self.path:
            self._written = hashlib.sha256(content).hexdigest()
            self._store()
        return read_text(text, str(file))

    def _store(self) -> None:
        """Keep the answers, unless another program has written others meanwhile."""
        if self.path is None:
            return
        kept = progress_path(self.path)
        if self.changed_elsewhere:
            raise SurveyError(f"{kept.name} was changed elsewhere meanwhile", "open the survey again")
        head = {"survey": _VERSION, "written": self._written}
        lines = [head, *({"id": one.id, "text": one.text} for one in self.answers)]
        content = "".join(json.dumps(line, ensure_ascii=False) + "\n" for line in lines).encode("utf-8")
        replace_file(kept, content, kept.name)
        self._stored = content


def _stored(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as why:
        raise SurveyError(
            f"{path.name} can't be read: {why.strerror}", "check the path and your rights there"
        ) from why


def _parse(content: bytes, path: Path) -> tuple[list[Answer], str | None]:
    answers: list[Answer] = []
    written = None
    # Not splitlines: an answer may have a sign that counts as the end of a line elsewhere.
    lines = content.decode("utf-8", errors="replace").removesuffix("\n").split("\n") if content else []
    for number, line in enumerate(lines, start=1):
        try:
            data = json.loads(line)
            if number == 1 and data["survey"] == _VERSION:
                written = data["written"]
            else:
                answers.append(Answer(str(data["id"]), str(data["text"])))
        except (ValueError, KeyError, TypeError) as why:
            raise SurveyError(f"{path.name}:{number}:1: this line is no answer", "take the line out") from why
    return answers, written
