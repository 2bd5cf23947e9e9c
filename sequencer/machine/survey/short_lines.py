"""How people write short lines: lists, counts, names; and which known name one of them means."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable

from sequencer.errors import SequencerError
from sequencer.machine.heard.tokens import with_points
from sequencer.quantities import find_prevailing, find_torque
from sequencer.wording import capital

_SPLIT = re.compile(r"\s*(?:,(?!\d)|(?<!\d),|;|\s\+\s|&|\band\b|\bplus\b|\n)\s*", re.IGNORECASE)
_ARTICLES = re.compile(r"^(?:(?:the|a|an|its|my|our|this|that|new:?)\s+)+", re.IGNORECASE)

NOTHING = frozenset(
    ["nothing", "none", "no", "nope", "nil", "-", "0", "free", "clear", "n/a", "nothing else", "not any"]
) | {"nothing in the way", "nothing is in the way", "it is free", "none of them", "nothing spills"}
LATER = frozenset(
    {"?", "??", "don't know yet", "dont know yet", "don't know", "dont know", "not yet", "later", "unknown"}
)

DONT_KNOW = "don't know yet"
"""The choice that keeps a question open."""


class AnswerError(SequencerError):
    """An answer that can't be taken: what was not understood, and how to say it. Nothing was changed."""


def pieces(line: str) -> list[str]:
    """The entries of a line, between commas and ``and``; a torque by itself belongs to the one before it."""
    found: list[str] = []
    for one in _SPLIT.split(with_points(line)):
        piece = " ".join(one.split()).rstrip(".")
        drag, torque = find_prevailing(piece), find_torque(piece)
        if found and drag is not None and drag[1:] == (0, len(piece)):
            found[-1] += f" with {piece}"
        elif found and torque is not None and torque[1:] == (0, len(piece)):
            found[-1] += f" {piece}"
        elif piece:
            found.append(piece)
    return found


def is_nothing(line: str) -> bool:
    """The answer says that there is nothing."""
    return line.strip().strip(".").casefold() in NOTHING


def is_later(line: str) -> bool:
    """The answer leaves the question open."""
    return line.strip().strip(".").casefold().replace("’", "'") in LATER


def bare(name: str) -> str:
    """A name without its article and without what no name in a machine file can have."""
    clean = re.sub(r"[/=:{}\[\]\"#]", " ", _ARTICLES.sub("", name.strip()))
    return " ".join("".join(c if c.isprintable() else " " for c in clean).split())


def key_of(name: str) -> str:
    """The name as a key of a machine file: ``Water pump`` is ``water-pump``."""
    words = re.findall(r"[\w.]+", bare(name).casefold())
    key = "-".join(words).strip(".-")
    return f"{key}-part" if key == "any" else key


def label_of(name: str) -> str:
    """The name as a person reads it."""
    return capital(bare(name))


def known(name: str, labels: dict[str, str]) -> str | None:
    """The key among ``labels`` that a name means: it, its plural, one that ends with it, or one nearly so."""
    if name.casefold().startswith("new "):
        return None
    key = key_of(name)
    by_name = {key_of(label): one for one, label in labels.items()} | {one: one for one in labels}
    for variant in (key, key.removesuffix("s"), f"{key}s"):
        if variant in by_name:
            return by_name[variant]
    ends = {one for spelt, one in by_name.items() if spelt.endswith(f"-{key}")}
    if len(ends) == 1:
        return ends.pop()
    near = difflib.get_close_matches(key, by_name, n=1, cutoff=0.88)
    return by_name[near[0]] if near and len(key) > 4 else None


def unused(key: str, taken: Iterable[str]) -> str:
    """``key``, or the first of ``key-2``, ``key-3`` … that is free."""
    there = set(taken)
    number, found = 1, key
    while found in there:
        number += 1
        found = f"{key}-{number}"
    return found
