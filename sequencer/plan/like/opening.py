"""Opening a survey: from nothing, from a type, or where it was left."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from sequencer.errors import SequencerError
from sequencer.graph import parse_targets
from sequencer.machine.checks.typical_checks import job_called
from sequencer.machine.survey import Survey, SurveyError, SurveyQuestion
from sequencer.machine.survey.changing import Renamed
from sequencer.machine.survey.keeping import kept_at
from sequencer.plan.like import differences
from sequencer.plan.like.hearing import hear
from sequencer.plan.like.known import Alike
from sequencer.plan.like.questions import asked, open_questions
from sequencer.plan.like.type_source import TypeFile, type_called
from sequencer.plan.like.type_text import machine_text


@dataclass
class LikeType:
    """What a survey is about where a type is known: see `sequencer.machine.survey.subject`."""

    known: Alike

    @property
    def wanted(self) -> tuple[str, ...]:
        """What is wanted off."""
        return self.known.off

    def open_questions(self) -> list[SurveyQuestion]:
        """What is worth asking, the most telling first, and what was put off."""
        return open_questions(self.known)

    def asked(self, question: str) -> SurveyQuestion | None:
        """The question of that name, if it makes sense now."""
        return asked(self.known, question)

    def hear(self, question: str, text: str) -> str:
        """Take an answer, and return how it was understood."""
        return hear(self.known, question, text)

    def machine_text(self) -> str:
        """The machine file."""
        return machine_text(self.known)

    def labels(self) -> dict[str, str]:
        """What each part is called; those that are wanted off first."""
        wanted = [target.part for target in self.known.targets] if self.known.off else []
        names = dict.fromkeys((*wanted, *self.known.machine.parts))
        return {name: self.known.label(name) for name in names} if wanted else {}

    def renamed(self, now: LikeType) -> Renamed:
        """Nothing: parts have the type's names."""
        del now
        return Renamed((), ())


def begin_survey(path: Path | None, like: str, off: Iterable[str] = (), jobs: Iterable[str] = ()) -> Survey:
    """A survey of a machine that is like a type, in memory alone where there is no ``path``.

    Args:
        path: The machine file to write.
        like: A machine of the library, or a file.
        off: What is wanted off, as ``--off`` takes it.
        jobs: Typical jobs of the type, what they take off.

    Raises:
        SequencerError: There is no such type, part or job.
        MachineFileError: The type's file has errors.
    """
    found = type_called(like)
    wanted = [*off, *_taken_off(found, jobs)]
    texts = [target.text for target in parse_targets(found.machine, wanted)] if wanted else []
    source = {"like": found.again, "version": found.version, "off": texts}
    return Survey(path, [], lambda: _begun(found, path, texts), source)


def open_survey(
    path: Path, like: str | None = None, off: Iterable[str] = (), jobs: Iterable[str] = ()
) -> Survey:
    """The survey that writes the machine file ``path``: begun from a type, or where it was left.

    Raises:
        SurveyError: A machine file is there that no survey wrote, the answers can't be read, or they are of
            a machine that is like another type.
        SequencerError: As for ``begin_survey``.
    """
    kept = kept_at(path)
    begun = kept.source or {}
    if not begun and (like is None or kept.answers):
        if like is not None:
            raise SurveyError(f"{path.name} was begun from nothing", "leave --like out, or name another file")
        return Survey.going_on(path, kept)
    if not begun:
        return begin_survey(path, str(like), off, jobs)
    found = type_called(str(begun.get("like")))
    _same_again(path, found, like, [*off, *_taken_off(found, jobs)], _texts(begun.get("off")))
    texts = _texts(begun.get("off"))
    source = {**begun, "version": found.version}
    return Survey.going_on(path, kept, lambda: _begun(found, path, texts), source)


def _taken_off(found: TypeFile, jobs: Iterable[str]) -> list[str]:
    """What typical jobs of a type take off."""
    return [text for name in jobs for text in job_called(found.machine, name).off]


def _texts(raw: object) -> list[str]:
    return [str(one) for one in raw] if isinstance(raw, list) else []


def _same_again(path: Path, found: TypeFile, like: str | None, off: list[str], begun: list[str]) -> None:
    if like is not None and type_called(like).again != found.again:
        raise SurveyError(
            f"{path.name} was begun like {found.named}", "leave --like out, or name another file"
        )
    if off and begun and {t.text for t in parse_targets(found.machine, off)} != set(begun):
        raise SequencerError(
            f"{path.name} was begun to get {', '.join(begun)} off", "leave --off out, or name another file"
        )


def _begun(found: TypeFile, path: Path | None, off: list[str]) -> LikeType:
    name = f"{found.machine.name}, {path.stem}" if path else found.machine.name
    text = differences.with_value(found.text, ("machine",), name)
    return LikeType(Alike(found, tuple(off), text))
