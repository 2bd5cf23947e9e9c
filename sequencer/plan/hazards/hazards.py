"""Hazards known by what is there: names in everyday words, kinds of joint, fluids, places and weights.

The knowledge is in ``data/cautions/``; the head of ``data/cautions.toml`` explains each of its keys.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields
from functools import cache, cached_property, lru_cache
from importlib import resources
from typing import Any

from sequencer.graph.operations import Operation
from sequencer.machine.model import Joint, Machine, Part, Position
from sequencer.plan.hazards.lifting import MOVES, Lift
from sequencer.plan.hazards.phrases import (
    Groups,
    KnownName,
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
    rolled: bool = False
    yields: frozenset[str] = frozenset()
    cools: bool = False
    ahead: bool = False
    said: Groups = ()
    settled: Groups = ()
    settled_text: str = ""
    lowering: str = ""
    have: tuple[str, ...] = ()
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

    def fits_name(self, name: KnownName) -> bool:
        """Whether a thing of this name has it."""
        if holds(name.words, self.not_):
            return False
        if self.any or name.is_any(self.sure, last=False):
            return True
        return name.last not in self.bystanders and name.is_any(self.words, last=self.head)

    def fits(self, met: Met) -> bool:
        """Whether an operation meets it by its names, its kind of joint and the weight that is lifted."""
        if self.at and met.kind not in self.at:
            return False
        if not self._weighs(met.lift) or (self.awkward and not met.awkward):
            return False
        if met.joint in self.kinds:
            return True
        if not (self.words or self.sure or self.any or self.kinds or self.or_ or self.position):
            return met.part
        names = met.wet_names if self.wet else met.names
        named = (name for name in names if self.any or not self.vocabulary.isdisjoint(name.words))
        return any(map(self.fits_name, named)) or self._fits_between(met) or self._otherwise(met, names)

    def _fits_between(self, met: Met) -> bool:
        """Whether part and joint have it together: the hose of a heater, the cable of a starter."""
        if met.joint is None:
            return False
        part, joint = met.names
        both = part.words | joint.words
        if holds(both, self.not_):
            return False
        harmless = {part.last, joint.last} & self.bystanders
        return any(
            phrase <= both and phrase & joint.core - part.words and phrase & part.core - joint.words
            for phrase in (self.sure if harmless else (*self.words, *self.sure))
        )

    @cached_property
    def vocabulary(self) -> Words:
        """The words of which a name that it fits has one."""
        return frozenset().union(*self.words, *self.sure)

    def _weighs(self, lift: Lift | None) -> bool:
        if self.unweighed:
            return lift is not None and not lift.whole
        return self.from_kg <= ((lift.kg if lift else None) or 0) < self.to_kg

    def _otherwise(self, met: Met, names: Sequence[KnownName]) -> bool:
        return any(
            met.weight_kg >= other.from_kg
            and (not other.machine or holds(met.about, other.machine))
            and any(
                name.is_any(other.words, last=True) and not holds(name.words, other.not_) for name in names
            )
            for other in self.or_
        )


@dataclass(frozen=True)
class Met:
    """What hazards are asked of: what is known of an operation, with what is lifted in it.

    Attributes:
        about: The words for the whole machine.
        kind: The kind of the operation.
        part: Whether it is of a part, and what that weighs.
        joint: The kind of its joint, if it is of one.
        awkward: Whether one lifts badly where it is done.
        names: The names of its part and joint, task (with tool) or fluid.
        wet_names: Those, and those of the fluids that it is wet with.
    """

    about: Words
    kind: str
    part: bool
    weight_kg: float
    joint: str | None
    lift: Lift | None
    awkward: bool
    names: tuple[KnownName, ...]
    wet_names: tuple[KnownName, ...]

    @classmethod
    def at(cls, machine: Machine, operation: Operation, lift: Lift | None = None) -> Met:
        """What there is of it at an operation."""
        part, joint = thing_of(machine, operation)
        names = tuple(_names(machine, operation))
        spills = part.spills(joint) if part else ()
        return cls(
            about=words_of(f"{machine.name} {machine.about}"),
            kind=operation.kind.value,
            part=part is not None,
            weight_kg=(part.weight_kg or 0) if part else 0,
            joint=joint.kind if joint else None,
            lift=lift,
            awkward=is_awkward(machine.positions[operation.position]),
            names=names,
            wet_names=(*names, *(_name(one, machine.fluids[one].label) for one in sorted(spills))),
        )


@lru_cache(10_000)
def met_by(met: Met) -> tuple[Hazard, ...]:
    """The hazards that fit; kept, since each look at a plan asks for them again."""
    return _not_silenced([hazard for hazard in hazards() if hazard.fits(met)])


@lru_cache(1_000)
def met_at(name: str, label: str) -> tuple[Hazard, ...]:
    """The hazards of a position of this name."""
    words = words_of(f"{name} {label}")
    return _not_silenced([hazard for hazard in hazards() if hazard.fits_place(words)])


def _not_silenced(fit: Sequence[Hazard]) -> tuple[Hazard, ...]:
    """Of hazards that fit those that yield to none of the others."""
    names = {hazard.name for hazard in fit}
    return tuple(hazard for hazard in fit if not hazard.yields & names)


def thing_of(machine: Machine, operation: Operation) -> tuple[Part | None, Joint | None]:
    """The part and the joint that an operation is about, if it is about one."""
    part = machine.parts[operation.part] if operation.part else None
    return part, part.joints[operation.joint] if part and operation.joint else None


def _names(machine: Machine, operation: Operation) -> Iterator[KnownName]:
    part, joint = thing_of(machine, operation)
    if part is not None:
        yield from (_name(one.name, one.label) for one in (part, joint) if one is not None)
    elif task := machine.tasks.get(operation.subject):
        tool = machine.tools.get(operation.tool)
        yield _name(task.name, task.label, (tool.label or "") if tool else "", order=True)
    else:
        yield _name(operation.subject, machine.fluids[operation.subject].label)


def is_awkward(position: Position) -> bool:
    """Whether one lifts badly at a position."""
    return _is_awkward(position.name, position.label)


@lru_cache(1_000)
def _is_awkward(name: str, label: str) -> bool:
    words, rule = words_of(f"{name} {label}"), table()["awkward"]
    return holds(words, phrases(rule["words"])) and not holds(words, phrases(rule["not"]))


def is_rolled(part: Part, kg: float) -> bool:
    """Whether one rolls a part of so much weight on the floor, as a road wheel, and does not lift it."""
    name = _name(part.name, part.label)
    return any(hazard.rolled and kg < hazard.to_kg and hazard.fits_name(name) for hazard in hazards())


@cache
def _name(name: str, label: str | None, tool: str = "", *, order: bool = False) -> KnownName:
    return read_name(name, label, frozenset(table()["places"]), tool, order=order)


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
        elif key == "have":
            read[key] = tuple(value)
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
