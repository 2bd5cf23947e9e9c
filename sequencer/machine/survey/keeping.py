"""The file in which a survey's answers are kept, beside its machine file."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sequencer.errors import SequencerError

_VERSION = 1


@dataclass(frozen=True)
class KeptAnswer:
    """One answer as it was given."""

    id: str
    text: str


class SurveyError(SequencerError):
    """A survey that can't go on: its answers can't be read, or its machine file was changed by hand."""


def progress_path(path: Path) -> Path:
    """Where the answers for the machine file ``path`` are kept."""
    return path.with_name(f"{path.stem}.survey.jsonl")


def stored_at(path: Path) -> bytes | None:
    """What a file has; ``None`` where there is none.

    Raises:
        SurveyError: It can't be read.
    """
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as why:
        raise SurveyError(
            f"{path.name} can't be read: {why.strerror}", "check the path and your rights there"
        ) from why


@dataclass(frozen=True)
class KeptSurvey:
    """What is kept of a survey.

    Attributes:
        answers: In their order.
        written: The digest of the machine file that was written.
        former: The answers before the last change.
        source: What it began from, where that was not nothing.
        stored: The file as it was read; ``None`` where there is none.
    """

    answers: tuple[KeptAnswer, ...] = ()
    written: str | None = None
    former: list[KeptAnswer] | None = None
    source: Mapping[str, object] | None = None
    stored: bytes | None = None


def kept_at(path: Path) -> KeptSurvey:
    """What is kept of the survey of the machine file ``path``; nothing where none was begun.

    Raises:
        SurveyError: A machine file is there that no survey wrote, or the answers can't be read.
    """
    stored = stored_at(progress_path(path))
    if stored is None and path.exists():
        raise SurveyError(f"{path.name} is there already, and no survey wrote it", "name a new file")
    return _parsed(stored, progress_path(path))


def _parsed(content: bytes | None, path: Path) -> KeptSurvey:
    answers: list[KeptAnswer] = []
    written, former, source = None, None, None
    # Not splitlines: an answer may have a sign that counts as the end of a line elsewhere.
    lines = content.decode("utf-8", errors="replace").removesuffix("\n").split("\n") if content else []
    for number, line in enumerate(lines, start=1):
        try:
            data = json.loads(line)
            if number == 1 and data["survey"] == _VERSION:
                written = data["written"]
                source = dict(data["source"]) if data.get("source") else None
                former = [KeptAnswer(str(one), str(text)) for one, text in data.get("former", ())] or None
            else:
                answers.append(KeptAnswer(str(data["id"]), str(data["text"])))
        except (ValueError, KeyError, TypeError, AttributeError) as why:
            raise SurveyError(
                f"{path.name}:{number}:1: this line is not an answer", "take the line out"
            ) from why
    return KeptSurvey(tuple(answers), written, former, source, content)


def as_kept(
    answers: Sequence[KeptAnswer],
    written: str | None,
    former: Sequence[KeptAnswer] | None,
    source: Mapping[str, object] | None = None,
) -> bytes:
    """The file of answers."""
    head: dict[str, Any] = {"survey": _VERSION, "written": written}
    if source is not None:
        head["source"] = dict(source)
    if former is not None:
        head["former"] = [[one.id, one.text] for one in former]
    lines = [head, *({"id": one.id, "text": one.text} for one in answers)]
    return "".join(json.dumps(line, ensure_ascii=False) + "\n" for line in lines).encode("utf-8")
