"""What a word in a line can be, whatever stands beside it (``data/words.toml``)."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from functools import cache
from importlib.resources import files

from sequencer.machine.heard.fluids import fluid_words
from sequencer.machine.heard.near import distance
from sequencer.machine.trade.kinds import kind_words
from sequencer.machine.trade.tables import table

_VOWELS = "aeiou"
_LONG = 5
"""Letters of a word in which one slip leaves no doubt."""
_SHORT = re.compile(r"(?:un|re)?[^aeiou]+[aeiou][^aeiouwxy]")
"""A verb that doubles its last letter: slip, unplug, refit."""


@cache
def _table() -> dict[str, str]:
    text = (files("sequencer.spoken") / "data" / "words.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def words(sort: str) -> frozenset[str]:
    """The words of one sort, as the table has them."""
    return frozenset(_table()[sort].split())


@cache
def nouns() -> frozenset[str]:
    """Words that name things, in singular and plural; kinds of joints and fluids are among them."""
    phrases = (*kind_words(), *table("heard")["spoken_kinds"], *fluid_words())
    single = {*words("nouns"), *(word for one in phrases for word in one.replace("-", " ").split())}
    return frozenset(single | {_plural(one) for one in single})


@cache
def describing() -> frozenset[str]:
    """Words that tell one thing from another."""
    return words("describing") | {*table("heard")["adjectives"]}


@cache
def little() -> frozenset[str]:
    """Words that carry no thing and no act."""
    return frozenset(one.replace("'", "") for one in words("little"))


@cache
def doubting() -> frozenset[str]:
    """Words by which nothing was done, or not yet."""
    return words("doubting")


@cache
def happening() -> frozenset[str]:
    """Forms of verbs that say what was or is done, as far as they are no things: unhooked, sprang, sits."""
    return frozenset(one for verb in _verbs() for one in verb) - nouns() - describing()


@cache
def known() -> frozenset[str]:
    """All words that a table has: none of them is a typo or short for another."""
    sorts = ("correcting", "retelling", "idle", "relating", "measuring", "timing")
    told = nouns() | describing() | little() | happening() | doubting() | frozenset(plain())
    return told.union(*map(words, sorts))


def ends_as_done(word: str) -> bool:
    """A word that no table has, and that ends like one that tells what was done: seated."""
    return word.endswith("ed") and len(word) > _LONG and word not in nouns() | describing()


@cache
def done() -> frozenset[str]:
    """Those of them that are past: what happened."""
    return frozenset(one for verb in _verbs() for one in verb[1:-2]) - describing()


@cache
def plain() -> frozenset[str]:
    """Verbs as they stand before a thing that they tell of: pull start, swing arm."""
    return frozenset(lemma for lemma, *_ in _verbs()) - done()


@cache
def forms(lemma: str) -> tuple[str, ...]:
    """A verb as it stands in a dictionary, what is past, what is now; itself where no table has it."""
    found = dict.fromkeys(one for verb in _verbs() if verb[0] == lemma for one in verb)
    return tuple(one.replace("-", " ") for one in found) or (lemma,)


@cache
def past(verb: str) -> str:
    """What is past of a verb as it stands in a dictionary: took; any other word as it is."""
    return next((one[1] for one in _verbs() if one[0] == verb), verb)


_LONGEST_NAME = 6


def may_name(label: str) -> bool:
    """Whether words can be what a thing is called: few, the last one no verb, none of them about somebody."""
    said = [one for one in label.casefold().split() if one not in ("the", "a", "an")]
    if not 0 < len(said) <= _LONGEST_NAME or said[0] in ("of", "and", "for", "with"):
        return False
    inside = {"of", "and", "for", "from", "to", "side", "end", "off", "out"}
    if any(one in done() - nouns() or one.endswith("ly") for one in said):
        return False
    ends = said[-1] in nouns() or said[-1] not in little() | happening() | doubting() | describing()
    return ends and not any(one in little() - inside - nouns() - describing() for one in said)


@cache
def taking() -> tuple[str, ...]:
    """Forms of verbs by which a thing came off, out or away, where that word follows: whipped."""
    past = (one for verb in _verbs() if verb[0] in words("taking") for one in verb[1:-2])
    return tuple(dict.fromkeys(one for one in past if one not in nouns() and one not in describing()))


@cache
def _verbs() -> tuple[tuple[str, ...], ...]:
    """Each verb: as it stands in a dictionary, what is past, then what is now."""
    irregular = (verb.split() for verb in _table()["irregular"].replace("\n", "|").split("|"))
    regular = ([lemma, _ed(lemma)] for lemma in _table()["regular"].split())
    return tuple((*verb, _third(verb[0]), _ing(verb[0])) for verb in (*irregular, *regular) if verb)


def _plural(word: str) -> str:
    if word.endswith("y") and word[-2:-1] not in _VOWELS:
        return f"{word[:-1]}ies"
    return f"{word}es" if word.endswith(("s", "x", "ch", "sh", "z")) else f"{word}s"


def _third(lemma: str) -> str:
    return _plural(lemma)


def _stem(lemma: str) -> str:
    """The verb before an ending with a vowel: slip, slipp; ease, eas."""
    if lemma.endswith("e") and not lemma.endswith("ee"):
        return lemma[:-1]
    return lemma + lemma[-1] if _SHORT.fullmatch(lemma) else lemma


def _ing(lemma: str) -> str:
    return f"{_stem(lemma)}ing"


def _ed(lemma: str) -> str:
    if lemma.endswith("y") and lemma[-2:-1] not in _VOWELS:
        return f"{lemma[:-1]}ied"
    return f"{_stem(lemma)}ed"


@cache
def nearly(word: str) -> bool:
    """A noun, misspelt by one slip."""
    close = (one for one in nouns() if abs(len(one) - len(word)) <= 1 and one[0] == word[0])
    return len(word) >= _LONG and any(distance(one, word, 1) <= 1 for one in close)


def is_thing(label: str) -> bool:
    """The name ends with a noun that is known, and has no verb in it."""
    said = [one for one in label.casefold().replace("-", " ").split() if one not in ("left", "right")] or [""]
    return said[-1] in nouns() and not any(one in happening() or one in ("the", "a") for one in said)


def retold(said: Sequence[str]) -> bool:
    """Words that take back what was said before them."""
    return not words("retelling").isdisjoint(said)
