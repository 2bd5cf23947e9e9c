"""Names of parts as they are said, and which known part is meant."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from itertools import pairwise

from sequencer.machine.called import head_noun
from sequencer.machine.heard.fluids import fluid_words
from sequencer.machine.heard.near import distance, likeness
from sequencer.machine.heard.tokens import Token, said, tokens_of
from sequencer.machine.trade.tables import table
from sequencer.spoken import vocabulary
from sequencer.spoken.patterns import lines
from sequencer.spoken.values import Name

_CERTAIN = 0.84
_LEAD = 0.05
_MAYBE = 0.68
LONGEST = 6
"""A name of more words is no name."""


def trimmed(tokens: list[Token]) -> list[Token]:
    """Words without those at both ends that are no part of a name."""
    words = [one for one in tokens if any(sign.isalnum() for sign in one.norm)]
    while words and (
        words[0].norm in lines()["names"]["articles"] or words[0].raw.casefold() in ("both", "pair")
    ):
        words = words[1:]
    while words and (
        words[-1].norm in lines()["names"]["articles"]
        or words[-1].raw.casefold() in ("both", "all", "we", "i")
    ):
        words = words[:-1]
    return words


def name_in(tokens: list[Token], parts: Mapping[str, str]) -> Name | None:
    """The name that the words say; None where they say none."""
    words = trimmed(tokens)
    label = said(words)
    if (
        not label
        or len(_telling(words)) > LONGEST
        or " ".join(one.norm for one in words) in lines()["names"]["nobody"]
    ):
        return None
    side = len(words) > 1 and only_adjectives([one for one in words if one.norm != "hand"])
    if side and words[-1].norm in ("side", "hand"):
        return None  # from the left hand side
    if all(one.norm.isdigit() or one.norm in _adverbs() for one in words):
        return None
    return known_name(label, parts)


@cache
def _adverbs() -> frozenset[str]:
    """Words that tell how and when, and never a thing: simply, then."""
    never = vocabulary.little() - vocabulary.nouns() - vocabulary.describing() - vocabulary.words("trailing")
    return never - vocabulary.words("joining")


def _telling(words: list[Token]) -> list[Token]:
    return [one for one in words if one.norm not in ("the", "a", "of", "and")]


def known_name(label: str, parts: Mapping[str, str]) -> Name:
    """The known part that a name means; the name as it is where it is new.

    A name means a known part where it is its label or key, where only this label ends with it (or goes on by
    where it is: pipe behind the block), or where it is all but spelt like it. Where it may mean several, or
    perhaps one, those are its ``near``.
    """
    spelt = _plain(label)
    by_spelling: dict[str, str] = {}
    for key in parts:
        by_spelling.setdefault(_plain(key), key)
    by_spelling |= {_plain(one): key for key, one in parts.items()}
    for variant in (spelt, spelt.removesuffix("s"), f"{spelt}s"):
        if variant in by_spelling:
            key = by_spelling[variant]
            return Name(parts[key], key, label)
    ends = [key for key, one in parts.items() if _ends_with(_plain(one), spelt)]
    if len(ends) == 1:
        return Name(parts[ends[0]], ends[0], label)
    if ends:
        return Name(label, None, label, tuple(parts[key] for key in ends))
    return _alike(label, spelt, parts)


def _ends_with(label: str, spelt: str) -> bool:
    thing = head_noun(label)
    return thing.endswith(f" {spelt}") or spelt == thing != label


def _alike(label: str, spelt: str, parts: Mapping[str, str]) -> Name:
    """The known part that is spelt or sounds nearly so."""
    scored = sorted(
        (
            (max(likeness(spelt, _plain(one)), likeness(_sound(spelt), _sound(_plain(one)))), key)
            for key, one in parts.items()
        ),
        key=lambda pair: -pair[0],
    )
    scored = [
        (score, key) for score, key in scored if score >= _MAYBE and not _apart(spelt, _plain(parts[key]))
    ]
    if not scored or len(spelt) < 4:
        return Name(label, None, label)
    best, key = scored[0]
    if len(scored) == 1 and _one_slip(spelt, _plain(parts[key])):
        return Name(parts[key], key, label)
    lead = best - (scored[1][0] if len(scored) > 1 else 0)
    if best >= _CERTAIN and lead >= _LEAD and not _other_word(spelt, _plain(parts[key])):
        return Name(parts[key], key, label)
    near = [key for score, key in scored if score >= best - _LEAD]
    return Name(label, None, label, tuple(parts[one] for one in near[:3]))


_ENDS = (["down"], ["up"], ["in"], ["on"], ["over"], ["back"], ["of"], ["the"], ["to"])
"""No name ends so."""


_NUMBERED = 6
"""A part called by a higher number is rare: it is likelier a size."""


def _are_two(label: str) -> bool:
    """``oil ring and thrower``: one part, or two?"""
    halves = re.split(r" (?:and|&) ", label)
    return (
        len(halves) > 1
        and " between " not in label
        and not any(only_adjectives(tokens_of(one)) for one in halves)
    )


def doubtful(name: Name) -> bool:
    """A name that has words in it that no name of a part has."""
    if name.key is not None or name.label.casefold() in fluid_words():
        return False
    words = _plain(name.label).split()
    names = lines()["names"]
    odd = (word in vocabulary.happening() and word not in vocabulary.plain() for word in words)
    number = words[-1] if words and words[-1].isdecimal() else ""
    if (words and words[0].isdecimal()) or _article_inside(words):
        return True
    if (number and int(number) > _NUMBERED) or _are_two(name.label):
        return True
    return (
        any(word in names["never"] for word in words)
        or any(odd)
        or len(words) - sum(one in ("of", "the") for one in words) > 5
        or words[-1:] in _ENDS
    )


def _article_inside(words: list[str]) -> bool:
    """``brake the chuck``: what stands before an article in a name joins two things, or it is no name."""
    inside = [a for a, b in pairwise(words) if b in ("the", "a", "an", "my", "its")]
    if inside and inside[0] == words[0]:
        return True  # under the lid
    return any(one not in vocabulary.words("cutting") | {"and", "off"} for one in inside)


def _plain(name: str) -> str:
    return " ".join(re.findall(r"[\w.]+", name.casefold().replace("'", "")))


def _other_word(one: str, other: str) -> bool:
    """They differ in one short word by more than a slip: cover and cooler are two words."""
    ours, theirs = one.split(), other.split()
    odd = [(a, b) for a, b in zip(ours, theirs, strict=True) if a != b] if len(ours) == len(theirs) else []
    if len(odd) != 1 or len(ours) == 1:
        return False
    mine, yours = odd[0]
    return (
        max(len(mine), len(yours)) < _LONG and distance(mine, yours, 1) > 1 and _sound(mine) != _sound(yours)
    )


_LONG = 8
"""Letters of a word in which two slips are still likelier than another word."""


def _one_slip(one: str, other: str) -> bool:
    """A letter left out, doubled or swapped, or one vowel for another: gard, moter; not rotor for motor."""
    if min(len(one), len(other)) < 4 or one[0] != other[0] or distance(one, other, 1) > 1:
        return False
    if len(one) != len(other) or sorted(one) == sorted(other):
        return True
    ours, theirs = next((a, b) for a, b in zip(one, other, strict=True) if a != b)
    return len(one) > 4 and {ours, theirs} <= set("aeiouy")


def _apart(one: str, other: str) -> bool:
    """Two names that differ by a word like left and right, or by whole words, are two parts."""
    ours, theirs = set(one.split()), set(other.split())
    for mine, yours in ((ours - theirs, theirs - ours), (theirs - ours, ours - theirs)):
        for word in mine & {*lines()["names"]["opposite"]}:
            if not any(
                distance(word, near, 2) <= 2 and near not in lines()["names"]["opposite"]
                for near in yours
                if len(word) > 4
            ):
                return True
    # A word more on one side alone makes another part: belt cover, belt cover bracket.
    return bool((ours < theirs or theirs < ours) and ours and theirs)


_SOUNDS = (
    ("cks", "x"),
    ("ph", "f"),
    ("ck", "k"),
    ("gh", ""),
    ("ou", "o"),
    ("au", "a"),
    ("ei", "ie"),
    ("qu", "kw"),
    ("c", "k"),
    ("z", "s"),
    ("y", "i"),
)


def _sound(name: str) -> str:
    """Roughly how it sounds: spellings that dictation mixes up fall together."""
    for written, heard in _SOUNDS:
        name = name.replace(written, heard)
    return re.sub(r"(.)\1", r"\1", name)


_THINGS_TOO = ("flange", "dome", "pan", "trim", "wiring", "machine")
"""Adjectives of fasteners that are things by themselves: flange bolts, and the flange."""


def only_adjectives(tokens: list[Token]) -> bool:
    """Only words like left and upper, which name nothing; an inner flange is one all the same."""
    words = trimmed(tokens)
    if words and words[-1].norm in _THINGS_TOO:
        return False
    if len(words) > 1 and words[-1].norm == "head":
        words = words[:-1]  # pan head
    tell = {*table("heard")["adjectives"], "and", "side"} | (vocabulary.describing() - vocabulary.nouns())
    return all(one.norm in tell for one in words)
