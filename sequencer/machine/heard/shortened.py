"""Words that were shortened: without their vowels (``blts``), or to their beginning (``conns``)."""

from __future__ import annotations

import re
from collections.abc import Collection
from functools import cache

_SHORTEST = 3
"""Letters of a word that may be a short one; of a joint that was not counted, one more."""


@cache
def _bones(word: str) -> str:
    """A word without its vowels behind the first letter, doubled letters as one."""
    return word[0] + re.sub(r"[aeiou]", "", re.sub(r"(.)\1", r"\1", word[1:]))


@cache
def _by_bones(others: frozenset[str]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for one in sorted(others, key=lambda word: (len(word), word)):
        if len(one) > _SHORTEST and one.isalpha():
            found.setdefault(_bones(one), []).append(one)
    return found


def in_full(
    word: str, kinds: frozenset[str], others: Collection[frozenset[str]], *, counted: bool
) -> str | None:
    """The word that a short one stands for; None where it stands for none, or is as long.

    Args:
        word: In lower case; no word that is known.
        kinds: Words of joints; behind a number one of them is likeliest.
        others: Further words, those first that are likelier.
        counted: A number stands before it.
    """
    if len(word) < _SHORTEST or not word.isalpha():
        return None
    if counted and (begun := _begun(word, kinds)):
        return begun
    if len(word) == _SHORTEST and _bones(word) != word:
        others = (kinds,) if counted else ()
    else:
        others = (kinds, *others)
    for words in others:
        full = [one for one in _by_bones(words).get(_bones(word), ()) if _leaves_out(word, one)]
        if full:
            return full[0]
    return None


def _leaves_out(word: str, full: str) -> bool:
    """Each letter of the word stands in the full one in its order, and some of that are left out."""
    rest = iter(full)
    return len(word) < len(full) and all(letter in rest for letter in word)


def _begun(word: str, kinds: frozenset[str]) -> str | None:
    """``3 scr``, ``2 conns``: the beginning of one kind alone, in singular or plural."""
    many = word.endswith("s") and len(word) > _SHORTEST
    stem = word.removesuffix("s") if many else word
    single = {one.removesuffix("s") for one in kinds if one.startswith(stem) and len(one) > len(stem) + 1}
    single = {one for one in single if not any(one != other and one.startswith(other) for other in single)}
    return f"{single.pop()}s" if len(single) == 1 else None
