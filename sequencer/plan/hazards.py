"""Hazards known by what is there: names in everyday words, kinds of joint, fluids, places and weights.

The knowledge is in ``data/cautions/``; the head of ``data/cautions.toml`` explains each of its keys.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from functools import cache
from importlib import resources
from typing import Any

from sequencer.graph.operations import Operation
from sequencer.machine.model import Joint, Machine, Part
from sequencer.plan.lifting import MOVES, Lift
from sequencer.plan.phrases import (
    Groups,
    Name,
    Words,
    holds,
    ordered,
    phrases,
    read_name,
    says_each,
    singular,
    words_of,
)


@dataclass(frozen=True)
class Other:
    """One more way in which a hazard fits: all that is given has to agree."""

    words: tuple[Words, ...] = ()
    not_: tuple[Words, ...] = ()
    machine: tuple[Words, ...] = ()
    from_kg: float = 0


@dataclass(frozen=True)
class Hazard:
    """A hazard of ``data/cautions/``; the attributes are the keys that ``cautions.toml`` explains."""

    name: str
    text: str
    source: str = "common practice"
    words: tuple[Words, ...] = ()
    sure: tuple[Words, ...] = ()
    not_: tuple[Words, ...] = ()
    position: tuple[Words, ...] = ()
    not_position: tuple[Words, ...] = ()
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
    free: str = ""
    head: bool = False
    yields: frozenset[str] = frozenset()
    cools: bool = False
    said: Groups = ()
    settled: Groups = ()
    settled_text: str = ""
    lowering: str = ""
    again: str = ""
    back: str = ""
    back_again: str = ""

    def on(self, *, back: bool) -> tuple[str, str]:
        """Its text on a way, and what recalls it of the next thing."""
        return (self.back, self.back_again) if back and self.back else (self.text, self.again)

    @property
    def is_lift(self) -> bool:
        """Whether it is met when a part's weight is lifted, whatever the part is."""
        return self.from_kg > 0

    def fits_place(self, words: Words) -> bool:
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
        if self.any or name.is_any(self.sure, last=False):
            return True
        return name.last not in self.bystanders and name.is_any(self.words, last=self.head)

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
                name.is_any(other.words, last=True) and not holds(name.words, other.not_) for name in names
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
            return [_name(task.name, task.label, tool.label if tool else "", order=True)]
        return [_name(operation.subject, machine.fluids[operation.subject].label)]
    names = [_name(part.name, part.label)]
    if joint is not None:
        names.append(_name(joint.name, joint.label))
    if wet:
        fluids = {*part.wet, *(joint.wet if joint else ())}
        names += [_name(fluid, machine.fluids[fluid].label) for fluid in sorted(fluids)]
    return names


@cache
def _name(name: str, label: str | None, tool: str = "", *, order: bool = False) -> Name:
    return read_name(name, label, frozenset(table()["places"]), tool, order=order)


def _is_awkward(machine: Machine, position: str) -> bool:
    words, rule = words_of(f"{position} {machine.positions[position].label}"), table()["awkward"]
    return holds(words, phrases(rule["words"])) and not holds(words, phrases(rule["not"]))


@cache
def table() -> dict[str, Any]:
    """All of ``data/cautions.toml``, and the hazards of the files that it names, as they stand there."""
    here = resources.files("sequencer.plan").joinpath("data")
    head = tomllib.loads(here.joinpath("cautions.toml").read_text(encoding="utf-8"))
    files = [here.joinpath(f"cautions/{name}.toml").read_text(encoding="utf-8") for name in head["files"]]
    return {**head, "hazard": [entry for text in files for entry in tomllib.loads(text)["hazard"]]}


@cache
def hazards() -> tuple[Hazard, ...]:
    """The hazards, in the file's order."""
    return tuple(_hazard(entry) for entry in table()["hazard"])


@cache
def heats(label: str) -> bool:
    """Whether a task of this label leaves the machine hot."""
    return holds(words_of(label), phrases(table()["cold"]["heats"]))


@cache
def cold_words(*, drained: bool) -> Groups:
    """What a file says by which the machine is cold; at a drain ``let it cool`` is about the machine, too."""
    rule = table()["cold"]
    return tuple(map(_group, rule["drained" if drained else "said"]))


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
            read["bystanders"] -= {singular(word) for word in value}
        elif key in ("said", "settled"):
            read[key] = tuple(map(_group, value))
        else:
            read["not_" if key == "not" else key] = phrases(value)
    return Hazard(**read)


def _group(group: str | list[str]) -> tuple[tuple[str, ...], ...]:
    return ordered(table()["shared"][group] if isinstance(group, str) else group)


def _other(entry: dict[str, Any]) -> Other:
    return Other(
        phrases(entry["words"]),
        phrases(entry.get("not", ())),
        phrases(entry.get("machine", ())),
        entry.get("from_kg", 0),
    )
