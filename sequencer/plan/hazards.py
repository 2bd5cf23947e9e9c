"""Hazards known by what is there: names in everyday words, kinds of joint, fluids, places and weights.

The knowledge is in ``data/cautions.toml``, whose head explains each of its keys; here is how a name is read
and a phrase fitted to it.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from functools import cache
from importlib import resources
from typing import Any

from sequencer.graph.operations import Operation
from sequencer.machine.model import Joint, Machine, Part
from sequencer.plan.lifting import MOVES, Lift

_TOKEN = re.compile(r"[a-z0-9+]+(?:[-/][a-z0-9+]+)*")
_SENTENCE = re.compile(r"[.!?;]\s")
_SLACK = 2
"""So many words may stand between those of a phrase in a text: no naked flame, negative lead first."""
_NO_PLURAL = frozenset({"mains", "gas", "abs", "srs", "lens", "plus", "less"})
_PLURAL = re.compile(r"(?<=sh)es$|(?<=ch)es$|(?<=x)es$|(?<=ss)es$|(?<=[^sui])s$")

Phrase = frozenset[str]
"""Words that a name has to have, all of them and in any order."""

Groups = tuple[tuple[Phrase, ...], ...]
"""What a text has to say: one phrase of each group, such as a hazard, and its harm or what to do about it."""


@dataclass(frozen=True)
class Name:
    """A thing's name and label: its ``words``, those that say what it is (``core``), and what it is."""

    words: Phrase
    core: Phrase
    last: str


@dataclass(frozen=True)
class Other:
    """One more way in which a hazard fits: all that is given has to agree."""

    words: tuple[Phrase, ...] = ()
    not_: tuple[Phrase, ...] = ()
    machine: tuple[Phrase, ...] = ()
    from_kg: float = 0


@dataclass(frozen=True)
class Hazard:
    """A hazard of ``data/cautions.toml``; the attributes are the keys that the file's head explains."""

    name: str
    text: str
    source: str = "common practice"
    words: tuple[Phrase, ...] = ()
    sure: tuple[Phrase, ...] = ()
    not_: tuple[Phrase, ...] = ()
    position: tuple[Phrase, ...] = ()
    not_position: tuple[Phrase, ...] = ()
    bystanders: frozenset[str] = frozenset()
    kinds: frozenset[str] = frozenset()
    not_kinds: frozenset[str] = frozenset()
    at: frozenset[str] = frozenset()
    wet: bool = False
    any: bool = False
    or_: tuple[Other, ...] = ()
    from_kg: float = 0
    to_kg: float = float("inf")
    awkward: bool = False
    unweighed: bool = False
    head: bool = False
    yields: frozenset[str] = frozenset()
    cools: bool = False
    said: Groups = ()
    settled: Groups = ()
    settled_text: str = ""
    lowering: str = ""

    def fits_place(self, words: Phrase) -> bool:
        """Whether it is met at a position of these words."""
        return holds(words, self.position) and not holds(words, self.not_position)

    def said_in(self, texts: Iterable[str]) -> bool:
        """Whether one of the texts says the same: the hazard, and its harm or what to do about it."""
        return any(says_each(text, self.said) for text in texts)

    def settled_by(self, texts: Iterable[str]) -> bool:
        """Whether a task of such a label deals with it for the whole job."""
        return bool(self.settled) and any(says_each(text, self.settled) for text in texts)

    def fits_name(self, name: Name) -> bool:
        """Whether a thing of this name has it."""
        if holds(name.words, self.not_):
            return False
        if self.any or _of_the_core(name, self.sure, last=False):
            return True
        return name.last not in self.bystanders and _of_the_core(name, self.words, last=self.head)

    def fits(self, machine: Machine, operation: Operation, lift: Lift | None = None) -> bool:
        """Whether an operation meets it by its names, its kind of joint and the weight that is lifted."""
        part, joint = subject(machine, operation)
        if self.at and operation.kind.value not in self.at:
            return False
        if not self._weighs(lift) or (self.awkward and not _is_awkward(machine, operation.position)):
            return False
        if joint is not None and joint.kind in self.kinds:
            return True
        if not (self.words or self.sure or self.any or self.kinds or self.or_ or self.position):
            return part is not None
        names = names_of(machine, operation, wet=self.wet)
        return any(self.fits_name(name) for name in names) or self._otherwise(machine, part, names)

    def _weighs(self, lift: Lift | None) -> bool:
        if self.unweighed:
            return lift is not None and not lift.whole
        return self.from_kg <= ((lift.kg if lift else None) or 0) < self.to_kg

    def _otherwise(self, machine: Machine, part: Part | None, names: Sequence[Name]) -> bool:
        weight = (part.weight_kg or 0) if part else 0
        about = words_of(f"{machine.name} {machine.about}")
        return any(
            weight >= other.from_kg
            and (not other.machine or holds(about, other.machine))
            and any(
                _of_the_core(name, other.words, last=True) and not holds(name.words, other.not_)
                for name in names
            )
            for other in self.or_
        )


def subject(machine: Machine, operation: Operation) -> tuple[Part | None, Joint | None]:
    """The part and the joint that an operation is about."""
    part = machine.parts[operation.part] if operation.part else None
    return part, part.joints[operation.joint] if part and operation.joint else None


def names_of(machine: Machine, operation: Operation, *, wet: bool) -> list[Name]:
    """The names of an operation's part and joint, task (with tool) or fluid, and of what is ``wet``."""
    part, joint = subject(machine, operation)
    if part is None:
        if task := machine.tasks.get(operation.subject):
            tool = machine.tools.get(operation.tool)
            return [_name(task.name, task.label, tool.label if tool else "")]
        return [_name(operation.subject, machine.fluids[operation.subject].label)]
    names = [_name(part.name, part.label)]
    if joint is not None:
        names.append(_name(joint.name, joint.label))
    if wet:
        fluids = {*part.wet, *(joint.wet if joint else ())}
        names += [_name(fluid, machine.fluids[fluid].label) for fluid in sorted(fluids)]
    return names


def holds(words: Phrase, phrases: Iterable[Phrase]) -> bool:
    """Whether all words of one of the phrases are there."""
    return any(phrase <= words for phrase in phrases)


def says_each(text: str, groups: Groups) -> bool:
    """Whether a running text has a phrase of each group, its words close together within one sentence."""
    return all(any(_says(text, phrase) for phrase in group) for group in groups)


def _says(text: str, phrase: Phrase) -> bool:
    width = len(phrase) + _SLACK
    return any(
        phrase <= frozenset().union(*words[at : at + width])
        for words in _sentences(text)
        for at in range(max(1, len(words) - width + 1))
    )


@cache
def _sentences(text: str) -> tuple[tuple[Phrase, ...], ...]:
    """The words of each sentence in their order, each as ``words_of`` has it."""
    pieces = _SENTENCE.split(_small(text))
    return tuple(tuple(words_of(token) for token in _TOKEN.findall(piece)) for piece in pieces)


@cache
def words_of(text: str) -> Phrase:
    """The words of a text, in small letters and without plural s; hyphens both joined and split."""
    found: set[str] = set()
    for token in _TOKEN.findall(_small(text)):
        pieces = re.split(r"[-/]", token)
        found |= {_one(token), _one("".join(pieces)), *map(_one, pieces)}
    return frozenset(found)


def _small(text: str) -> str:
    return re.sub(r"['’]s?\b", "", text.lower()).replace("_", "-")


def _one(word: str) -> str:
    if word in _NO_PLURAL or len(word) <= 3:
        return word
    return f"{word[:-3]}y" if word.endswith("ies") and len(word) > 4 else _PLURAL.sub("", word)


@cache
def _name(name: str, label: str | None, tool: str = "") -> Name:
    """A name as a mechanic reads it: what comes before the first word of place says what it is.

    The last word of that is the thing: a lid of the fuel tank is a fuel tank lid.
    """
    said = _small(label or name)
    tokens = re.findall(r"[^\s,;:()]+|[,;:(]", said)
    ends = [i for i, token in enumerate(tokens) if i and token in {*_places(), *",;:("}] + [len(tokens)]
    end = ends[1] if tokens[ends[0] : ends[0] + 1] in (["of"], ["with"]) else ends[0]
    core = words_of(" ".join(tokens[:end])) | words_of(name)
    pieces = _TOKEN.findall(" ".join(tokens[: ends[0]]))
    last = _one(re.split(r"[-/]", pieces[-1])[-1]) if pieces else ""
    return Name(words_of(f"{name} {said} {tool}"), core | words_of(tool), last)


def _of_the_core(name: Name, phrases: Iterable[Phrase], *, last: bool) -> bool:
    return any(
        phrase <= name.words and not phrase.isdisjoint(name.core) and (not last or name.last in phrase)
        for phrase in phrases
    )


def _is_awkward(machine: Machine, position: str) -> bool:
    words, rule = words_of(f"{position} {machine.positions[position].label}"), table()["awkward"]
    return holds(words, _phrases(rule["words"])) and not holds(words, _phrases(rule["not"]))


def _phrases(texts: Iterable[str]) -> tuple[Phrase, ...]:
    return tuple(frozenset(_one(word) for word in text.lower().split()) for text in texts)


@cache
def _places() -> frozenset[str]:
    return frozenset(table()["places"])


@cache
def table() -> dict[str, Any]:
    """All of ``data/cautions.toml`` as it stands there."""
    text = resources.files("sequencer.plan").joinpath("data/cautions.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def hazards() -> tuple[Hazard, ...]:
    """The hazards, in the file's order."""
    return tuple(_hazard(entry) for entry in table()["hazard"])


@cache
def cold_words(*, drained: bool) -> Groups:
    """What a file says by which the machine is cold; at a drain ``let it cool`` is about the machine, too."""
    rule = table()["cold"]
    return tuple(_phrases(group) for group in rule["drained" if drained else "said"])


def _hazard(entry: dict[str, Any]) -> Hazard:
    read: dict[str, Any] = {"bystanders": frozenset(table()["bystanders"])}
    plain = {field.name for field in fields(Hazard) if field.type in ("str", "bool", "float")}
    for key, value in entry.items():
        if key in plain:
            read[key] = value
        elif key == "or":
            read["or_"] = tuple(_other(one) for one in value)
        elif key == "at":
            moves = {kind.value for kind in MOVES}
            read["at"] = frozenset().union(*(moves if one == "moves" else {one} for one in value))
        elif key in ("bystanders", "kinds", "not_kinds", "yields"):
            read[key] = frozenset(value)
        elif key == "bites":
            read["bystanders"] -= {_one(word) for word in value}
        elif key in ("said", "settled"):
            read[key] = tuple(map(_group, value))
        else:
            read["not_" if key == "not" else key] = _phrases(value)
    return Hazard(**read)


def _group(group: str | list[str]) -> tuple[Phrase, ...]:
    return _phrases(table()["shared"][group] if isinstance(group, str) else group)


def _other(entry: dict[str, Any]) -> Other:
    return Other(
        _phrases(entry["words"]),
        _phrases(entry.get("not", ())),
        _phrases(entry.get("machine", ())),
        entry.get("from_kg", 0),
    )
