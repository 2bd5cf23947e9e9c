"""A survey under way: its answers in a file beside the machine file, replayed into what is known."""

from __future__ import annotations

import copy
import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from sequencer.errors import SequencerError
from sequencer.machine.edit.atomic import replace_file
from sequencer.machine.reading import Reading, read_text
from sequencer.machine.survey.changing import Changed
from sequencer.machine.survey.keeping import (
    KeptAnswer,
    KeptSurvey,
    SurveyError,
    as_kept,
    kept_at,
    progress_path,
    stored_at,
)
from sequencer.machine.survey.question import SurveyQuestion
from sequencer.machine.survey.short_lines import AnswerError, is_later
from sequencer.machine.survey.subject import Described, Surveyed

_TRIES = range(2)
"""An answer may only be open again once one that came later has been taken."""


@dataclass(frozen=True)
class _Kept:
    """All that an answer changes."""

    answers: list[KeptAnswer]
    said: Surveyed
    asked: dict[str, SurveyQuestion]
    former: list[KeptAnswer] | None


class Survey:
    """The conversation that describes a machine. See the package for how it is used.

    Attributes:
        path: The machine file that it will write; ``None`` for one that is kept in memory alone.
        source: What it began from: the type, and what is wanted off. ``None``: from nothing.
        answers: The answers so far, in their order.
    """

    def __init__(
        self,
        path: Path | None = None,
        answers: list[KeptAnswer] | None = None,
        begin: Callable[[], Surveyed] = Described,
        source: Mapping[str, object] | None = None,
    ) -> None:
        """Begin with some answers.

        Args:
            path: The machine file that it will write.
            answers: Those given so far.
            begin: What is known of the machine before the first answer: nothing.
            source: What ``begin`` began from, as it is kept beside the answers.

        Raises:
            SurveyError: One of them can't be taken.
        """
        self.path = path
        self.answers: list[KeptAnswer] = []
        self.source = source
        self._begin = begin
        self._said = begin()
        self._asked: dict[str, SurveyQuestion] = {}
        self._former: list[KeptAnswer] | None = None
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
            SurveyError: A machine file is there that no survey wrote, the answers can't be read, or they are
                of a machine that is made from a type.
        """
        kept = kept_at(Path(path))
        if kept.source:
            raise SurveyError(f"{Path(path).name} is made from a type", "open it with open_survey")
        return cls.going_on(Path(path), kept)

    @classmethod
    def going_on(
        cls,
        path: Path,
        kept: KeptSurvey,
        begin: Callable[[], Surveyed] = Described,
        source: Mapping[str, object] | None = None,
    ) -> Survey:
        """The survey of ``path`` with what was ``kept`` of it.

        With another ``source`` than it began from, a type that was changed since, answers that make no sense
        any more are left out, and their questions asked again.

        Raises:
            SurveyError: One of its answers can't be taken.
        """
        if source == kept.source:
            survey = cls(path, list(kept.answers), begin, source)
        else:
            survey = cls(path, [], begin, source)
            for one in kept.answers:
                survey._takes(one)
        survey._written, survey._stored, survey._former = kept.written, kept.stored, kept.former
        return survey

    @property
    def changed_elsewhere(self) -> bool:
        """Another program has written answers since; open the survey again to have them."""
        return self.path is not None and stored_at(progress_path(self.path)) != self._stored

    # ---- Questions ----

    @property
    def question(self) -> SurveyQuestion | None:
        """What is asked next; ``None`` once all is answered but what was put off."""
        return next((one for one in self.open_questions if not one.later), None)

    @property
    def open_questions(self) -> list[SurveyQuestion]:
        """All that is not answered, those that were put off last. Any of them may be answered next."""
        return self._said.open_questions()

    @property
    def finished(self) -> bool:
        """Nothing is left open."""
        return not self.open_questions

    @property
    def parts(self) -> dict[str, str]:
        """The parts named so far: key and label."""
        return self._said.labels()

    @property
    def wanted(self) -> tuple[str, ...]:
        """What is wanted off, as ``--off`` takes it; nothing until that was said."""
        return self._said.wanted

    # ---- Answers ----

    def answer(self, id: str, text: str) -> str:  # noqa: A002 - the name of the attribute that it takes
        """Take an answer and return how it was understood. ``don't know yet`` keeps the question open.

        Raises:
            AnswerError: It was not understood, contradicts an earlier one, or the question is not open.
            SurveyError: The answers were changed elsewhere; look again.
        """
        before = self._kept()
        # What a terminal could not decode has no place in a file.
        echo = self._take(KeptAnswer(id, _decoded(text)))
        self._former = None
        self._store_or(before)
        return echo

    def _take(self, one: KeptAnswer) -> str:
        asked = self._said.asked(one.id)
        if asked is None:
            raise AnswerError(
                "this question is not open", "answer one of those that are, or take back the last answer"
            )
        said = copy.deepcopy(self._said)
        echo = said.hear(one.id, one.text)
        if said.wanted:
            folder = self.path.parent if self.path else None
            reading = read_text(said.machine_text(), "the machine", folder)
            wrong = next((fault for fault in reading.faults if fault.severity == "error"), None)
            if wrong is not None:
                raise AnswerError(wrong.problem, wrong.remedy)
        self._said = said
        self._asked[one.id] = asked
        self.answers.append(one)
        return echo

    def undo(self) -> KeptAnswer | None:
        """Take back the last answer, or the last change, and return it; ``None`` if there is none.

        Raises:
            SurveyError: The answers were changed elsewhere; look again.
        """
        if not self.answers:
            return None
        before, rest = self._kept(), self._former or self.answers[:-1]
        gone = next((one for one in reversed(self.answers) if one not in rest), self.answers[-1])
        fresh = Survey(None, rest, self._begin)
        self._put(fresh._kept())
        self._store_or(before)
        return gone

    # ---- Old answers ----

    @property
    def answered(self) -> list[tuple[SurveyQuestion, KeptAnswer]]:
        """The questions that were answered, with their answers; ``change`` counts them from 1."""
        return [(self._asked[self.answers[place].id], self.answers[place]) for place in self._places()]

    def _places(self) -> list[int]:
        last = {one.id: place for place, one in enumerate(self.answers)}
        return [place for place in last.values() if not is_later(self.answers[place].text)]

    def change(self, number: int, text: str) -> Changed:
        """Say an old answer anew. Later ones that still make sense are kept, the others are asked again.

        Raises:
            AnswerError: There is no such answer, or the new one was not understood; nothing was changed.
            SurveyError: The answers were changed elsewhere; look again.
        """
        places = sorted(self._places())
        if not 1 <= number <= len(places):
            said = f"they are 1 to {len(places)}" if places else "nothing was answered yet"
            raise AnswerError(f"there is no answer {number}", said)
        before, place = self._kept(), places[number - 1]
        fresh = Survey(None, self.answers[:place], self._begin)
        so_far = fresh._kept()
        fresh._take(self.answers[place])
        was = fresh._said
        fresh._put(so_far)
        echo = fresh._take(KeptAnswer(self.answers[place].id, _decoded(text)))
        names = was.renamed(fresh._said)
        left = [KeptAnswer(*names.read(one.id, one.text)) for one in self.answers[place + 1 :]]
        for _ in _TRIES:
            left = [one for one in left if not fresh._takes(one)]
        gone = dict.fromkeys(one.id for one in left if not is_later(one.text))
        open_now = {one.id: one for one in fresh.open_questions}
        former = {names.read(key, "")[0]: one for key, one in self._asked.items()}
        self._put(fresh._kept())
        self._former = before.answers
        self._store_or(before)
        again = [open_now[one] for one in gone if one in open_now]
        needless = [former[one] for one in gone if one not in open_now and one in former]
        return Changed(echo, names.words, tuple(again), tuple(needless))

    def _takes(self, one: KeptAnswer) -> bool:
        try:
            self._take(one)
        except AnswerError:
            return False
        return True

    def _kept(self) -> _Kept:
        return _Kept(list(self.answers), self._said, dict(self._asked), self._former)

    def _put(self, kept: _Kept) -> None:
        self.answers, self._said, self._asked, self._former = (
            kept.answers,
            kept.said,
            kept.asked,
            kept.former,
        )

    def _store_or(self, before: _Kept) -> None:
        """Keep the answers; where that can't be done all is as before."""
        try:
            self._store()
        except SequencerError:
            self._put(before)
            raise

    # ---- What is written ----

    def machine_text(self) -> str:
        """The machine file as it would be written now.

        Raises:
            SurveyError: No part was named yet.
        """
        if not self._said.wanted:
            raise SurveyError("there is nothing to write yet", "say what you want off first")
        return self._said.machine_text()

    def save(self) -> Reading:
        """Write the machine file, in one step, and return how it reads.

        Raises:
            SurveyError: Nothing was named yet, or the file there was changed by hand since.
            SequencerError: It can't be written.
        """
        file = self.path
        if file is None:
            raise TypeError("this survey has no file of its own")
        text = self.machine_text()
        content = text.encode("utf-8")
        there = stored_at(file)
        if there not in (None, content) and hashlib.sha256(there or b"").hexdigest() != self._written:
            raise SurveyError(
                f"{file.name} was changed since the survey wrote it",
                "keep your changes: save the survey under another name",
            )
        replace_file(file, content, file.name)
        self._written = hashlib.sha256(content).hexdigest()
        self._store()
        return read_text(text, str(file), file.parent)

    def _store(self) -> None:
        """Keep the answers, unless another program has written others meanwhile."""
        if self.path is None:
            return
        kept = progress_path(self.path)
        if self.changed_elsewhere:
            raise SurveyError(f"{kept.name} was changed elsewhere meanwhile", "open the survey again")
        content = as_kept(self.answers, self._written, self._former, self.source)
        replace_file(kept, content, kept.name)
        self._stored = content


def _decoded(text: str) -> str:
    return text.encode("utf-8", "replace").decode("utf-8")
