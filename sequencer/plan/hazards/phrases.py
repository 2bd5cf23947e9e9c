"""How a name and a running text are read, word by word, and a phrase fitted to them."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from functools import cache

_TOKEN = re.compile(r"[a-z0-9+]+(?:[-/][a-z0-9+]+)*")
_SENTENCE = re.compile(r"[.!?;]\s")
_SLACK = 2
"""So many words may stand between those of a phrase in a text: no naked flame, negative lead first."""
_NO_PLURAL = frozenset({"mains", "gas", "abs", "srs", "lens", "plus", "less"})
_PLURAL = re.compile(r"(?<=sh)es$|(?<=ch)es$|(?<=x)es$|(?<=ss)es$|(?<=[^sui])s$")
_VOLTS = re.compile(r"\b\d+\s?v(?:olts?)?\b")

Words = frozenset[str]
"""The words of a name; of a phrase: those that a name has to have, all of them and in any order."""

Groups = tuple[tuple[tuple[str, ...], ...], ...]
"""What a text has to say: one phrase of each group, such as a hazard, and its harm or what to do about it."""


@dataclass(frozen=True)
class KnownName:
    """A thing's name and label: its ``words``, those that say what it is (``core``), and what it is."""

    words: Words
    core: Words
    last: str

    def is_any(self, phrases: Iterable[Words], *, last: bool) -> bool:
        """Whether one of the phrases says what it is, and not only where; ``last``: and is its last word."""
        return any(
            phrase <= self.words and not phrase.isdisjoint(self.core) and (not last or self.last in phrase)
            for phrase in phrases
        )


def read_name(
    name: str, label: str | None, places: Collection[str], tool: str = "", *, order: bool = False
) -> KnownName:
    """A name as a mechanic reads it: what comes before the first word of place says what it is.

    A comma ends it no more than ``of`` does. The last word of that is the thing: a lid of the fuel tank is a
    fuel tank lid. A voltage counts anywhere, and all words of an ``order``: lower it on axle stands.
    """
    said = _small(label or name)
    tokens = re.findall(r"[^\s,;:()]+|[,;:(]", said)
    ends = [i for i, token in enumerate(tokens) if i and token in {*places, *",;:("}] + [len(tokens)]
    end = ends[1] if tokens[ends[0] : ends[0] + 1] in (["of"], ["with"], [","]) else ends[0]
    core = words_of(" ".join([said if order else " ".join(tokens[:end]), name, tool, *_VOLTS.findall(said)]))
    pieces = _TOKEN.findall(" ".join(tokens[: ends[0]]))
    last = singular(re.split(r"[-/]", pieces[-1])[-1]) if pieces else ""
    return KnownName(words_of(f"{name} {said} {tool}"), core, last)


def holds(words: Words, phrases: Iterable[Words]) -> bool:
    """Whether all words of one of the phrases are there."""
    return any(phrase <= words for phrase in phrases)


def says_each(text: str, groups: Groups) -> bool:
    """Whether a running text has a phrase of each group.

    The words of a phrase stand in its order, close together within one sentence.
    """
    return all(any(_says(text, phrase) for phrase in group) for group in groups)


def _says(text: str, phrase: tuple[str, ...]) -> bool:
    return words_of(text).issuperset(phrase) and any(
        _in_order(words[at : at + len(phrase) + _SLACK], phrase)
        for words in _sentences(text)
        for at in range(len(words))
    )


def _in_order(words: Iterable[Words], phrase: tuple[str, ...]) -> bool:
    rest = iter(words)
    return all(any(word in here for here in rest) for word in phrase)


@cache
def _sentences(text: str) -> tuple[tuple[Words, ...], ...]:
    """The words of each sentence in their order, each as ``words_of`` has it."""
    pieces = _SENTENCE.split(_small(text))
    return tuple(tuple(_in_turn(_TOKEN.findall(piece))) for piece in pieces)


def _in_turn(tokens: Iterable[str]) -> Iterator[Words]:
    """What is joined by a hyphen counts as a word, and as the words that it is made of."""
    for token in tokens:
        first, *rest = re.split(r"[-/]", token)
        yield frozenset({singular(first), singular(token), singular("".join((first, *rest)))})
        yield from (frozenset({singular(piece)}) for piece in rest)


@cache
def words_of(text: str) -> Words:
    """The words of a text, in small letters and without plural s; hyphens both joined and split."""
    found: set[str] = set()
    for token in _TOKEN.findall(_small(text)):
        pieces = re.split(r"[-/]", token)
        found |= {singular(token), singular("".join(pieces)), *map(singular, pieces)}
    return frozenset(found)


def _small(text: str) -> str:
    return re.sub(r"['’]s?\b", "", text.lower()).replace("_", "-")


@cache
def singular(word: str) -> str:
    """A word without its plural s."""
    if word in _NO_PLURAL or len(word) <= 3:
        return word
    return f"{word[:-3]}y" if word.endswith("ies") and len(word) > 4 else _PLURAL.sub("", word)


def phrases(texts: Iterable[str]) -> tuple[Words, ...]:
    """Phrases of names."""
    return tuple(map(frozenset, ordered(texts)))


def ordered(texts: Iterable[str]) -> tuple[tuple[str, ...], ...]:
    """Phrases of running texts."""
    return tuple(tuple(singular(word) for word in text.lower().split()) for text in texts)
