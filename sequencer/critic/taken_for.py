"""What the critic takes a thing for, by its name: sorts of ``data/words.toml``, hazards of the cautions."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, cached_property
from importlib import resources

from sequencer.plan.hazards.hazards import Hazard, hazards, table
from sequencer.plan.hazards.phrases import KnownName, Words, holds, phrases, read_name, words_of


@dataclass(frozen=True)
class Sort:
    """A sort of things; the attributes are the keys that ``data/words.toml`` explains."""

    words: tuple[Words, ...] = ()
    any: tuple[Words, ...] = ()
    not_: tuple[Words, ...] = ()
    head: bool = False
    hazards: tuple[Hazard, ...] = ()
    said: tuple[Words, ...] = ()

    def fits(self, name: KnownName) -> bool:
        """Whether a thing of this name is of the sort."""
        if self.vocabulary.isdisjoint(name.words) or holds(name.words, self.not_):
            return False
        return (
            name.is_any(self.words, last=self.head)
            or holds(name.words, self.any)
            or any(hazard.fits_name(name) for hazard in self.hazards)
        )

    @cached_property
    def vocabulary(self) -> Words:
        """The words of which a name that fits has one."""
        return frozenset().union(*self.words, *self.any, *(hazard.vocabulary for hazard in self.hazards))


@cache
def sort(name: str) -> Sort:
    """The sort of that name.

    Raises:
        KeyError: The table has no such sort.
    """
    entry = _table()[name]
    return Sort(
        phrases(entry.get("words", ())),
        phrases(entry.get("any", ())),
        phrases(entry.get("not", ())),
        bool(entry.get("head")),
        tuple(hazard for hazard in hazards() if hazard.name in entry.get("hazards", ())),
        phrases(entry.get("said", ())),
    )


def sorts() -> tuple[str, ...]:
    """The names of all sorts."""
    return tuple(_table())


@cache
def is_a(kind: str, name: str, label: str | None = None, *, order: bool = False) -> bool:
    """Whether a thing with this name and label is of the sort ``kind``; of an ``order`` all words count."""
    return sort(kind).fits(_name(name, label, order=order))


@cache
def _name(name: str, label: str | None, *, order: bool) -> KnownName:
    return read_name(name, label, frozenset(table()["places"]), order=order)


def says(kind: str, texts: Iterable[str]) -> bool:
    """Whether one of the file's texts speaks of the sort ``kind``."""
    return any(holds(words_of(text), sort(kind).said) for text in texts)


@cache
def _table() -> dict[str, dict[str, list[str]]]:
    text = resources.files("sequencer.critic").joinpath("data/words.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
