"""What something waits for until it is clear: the kinds of relation that a machine file has.

All that is known of one is in its row of ``data/relations.toml``, whose head says what the fields mean. No
other code names one: it goes over all of them, or asks for those that hold a move.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from sequencer.machine.trade.tables import table

UNDO, LOOSE, ASIDE, OFF = "undo", "loose", "aside", "off"
"""The moves of a part that can wait: work on its joints, and its states."""

PART, JOINT, TASK, FLUID = "part", "joint", "task", "fluid"
"""What may have a relation."""


@dataclass(frozen=True)
class FoundWord:
    """How a relation is said of a thing that was found: see the head of the table."""

    word: str
    help: str
    ask: str
    like: str
    own: bool = False
    joints: bool = False
    choice: str = ""

    def asked(self, part: str) -> str | None:
        """The choice with the barred part's name in it; None where it needs one and ``part`` is empty."""
        said = self.choice.format(part=part)
        return said if part or said == self.choice else None


@dataclass(frozen=True)
class SurveyWords:
    """How a relation is said where somebody is asked what is in the way: see the head of the table."""

    scopes: Sequence[str]
    verb: str
    echo: str
    hint: str
    remedy: str


@dataclass(frozen=True, eq=False)
class Relation:
    """A kind of relation, known by its key: see the head of the table."""

    key: str
    on: Sequence[str]
    says: str
    waits: Sequence[str]
    phrase: str
    able: str
    meant: Sequence[str] = ()
    seen: Sequence[str] = ()
    arrow: Mapping[str, str] = field(default_factory=dict)
    legend: str = ""
    found: Sequence[FoundWord] = ()
    survey: SurveyWords | None = None

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Relation) and other.key == self.key

    def __hash__(self) -> int:
        return hash(self.key)

    @property
    def reaches(self) -> bool:
        """Whether it bars the way to its holder, and not only what the holder does itself."""
        return UNDO in self.waits

    def of(self, entry: object) -> list[Any] | None:
        """What an entry of a machine file lists under it, as written; None where nothing is."""
        listed: list[Any] | None = getattr(entry, self.key, None)
        return listed


@cache
def relations(holder: str | None = None) -> tuple[Relation, ...]:
    """All of them in the order of the table, or those that a part, joint, task or fluid may have."""
    rows = map(_read, table("relations")["relation"])
    return tuple(one for one in rows if holder is None or holder in one.on)


def barring(move: str) -> Relation:
    """The one that says what bars a move, where nothing more is known of how."""
    return next(one for one in relations() if move in one.seen)


def listed(entry: object, holder: str) -> Iterator[tuple[Relation, list[Any] | None]]:
    """What an entry of a machine file lists under each relation that it may have."""
    return ((one, one.of(entry)) for one in relations(holder))


def found_words() -> tuple[tuple[Relation, FoundWord], ...]:
    """The words by which a thing is told that was found: first what it is in the way of."""
    words = [(one, word) for one in relations() for word in one.found]
    return tuple(sorted(words, key=lambda pair: pair[1].own))


def _read(row: Mapping[str, Any]) -> Relation:
    found = [FoundWord(**one) for one in row.get("found", ())]
    survey = SurveyWords(**row["survey"]) if "survey" in row else None
    return Relation(**{**row, "found": found, "survey": survey})
