"""Two machines held against each other: every fact that only one has, or that is another in each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from sequencer.document.comparing.facts import GROUPS, Fact, Key, facts
from sequencer.machine.called import name_of
from sequencer.machine.model import Machine, Subject

_OWNERS = frozenset({"parts", "fasteners", "fluids", "tasks", "places", "jobs"})
"""Groups in which something may be there in one machine alone; nothing more is said of it then."""


@dataclass(frozen=True)
class MachineDifference:
    """What two machines have differently; None where one has nothing of it.

    Attributes:
        group: One of `GROUPS`.
        about: What it is about, by name: ``head/bolts``, ``task raise``.
        label: The same as a person says it.
        what: What of it differs; empty where it is there in one machine alone.
        one: What the first machine says; ``other``: what the second does.
    """

    group: str
    about: str
    label: str
    what: str
    one: Fact | None
    other: Fact | None


def differences(one: Machine, other: Machine) -> tuple[MachineDifference, ...]:
    """All that differs, the most important first; within a group in the order of the files.

    A part that has another name in each machine and the same label is the same part.
    """
    renamed = _called_alike(one, other)
    mine, theirs = facts(one), facts(other, renamed)
    alone = _in_one_alone(mine, theirs)
    groups, found = list(GROUPS), [*_told(mine, theirs, alone), *_renamed(one, other, renamed)]
    first: dict[str, int] = {}
    for number, each in enumerate(found):
        first.setdefault(each.about, number)
    return tuple(sorted(found, key=lambda each: (groups.index(each.group), first[each.about])))


def _told(
    mine: Mapping[Key, Fact], theirs: Mapping[Key, Fact], alone: set[str]
) -> Iterator[MachineDifference]:
    for key in dict.fromkeys((*mine, *theirs)):
        group, about, what = key
        here, there = mine.get(key), theirs.get(key)
        either = here or there
        assert either is not None
        if here and there and here.said == there.said:
            continue
        if any(owner in alone for owner in _owners(about)) and (what or _owners(about)[1] in alone - {about}):
            continue  # all of it is there in one machine alone, and that is said
        yield MachineDifference(group, about, either.label, what, here, there)


def _owners(about: str) -> tuple[str, ...]:
    """What a fact is about, and what that belongs to: the joint, and its part."""
    return (about, Subject(about).part)


def _in_one_alone(mine: Mapping[Key, Fact], theirs: Mapping[Key, Fact]) -> set[str]:
    """What only one of the two machines has."""
    here, there = (
        {about for group, about, what in known if not what and group in _OWNERS} for known in (mine, theirs)
    )
    return here ^ there


def _called_alike(one: Machine, other: Machine) -> dict[str, str]:
    """The parts that have another name in the other machine, by that, with the first one's name for each."""
    left = [part for name, part in one.parts.items() if name not in other.parts]
    names: dict[str, list[str]] = {}
    for part in left:
        names.setdefault(name_of(part.name, part.label).casefold(), []).append(part.name)
    found = {}
    for name, part in other.parts.items():
        alike = names.get(name_of(name, part.label).casefold(), [])
        if name not in one.parts and len(alike) == 1:
            found[name] = alike.pop()
    return found


def _renamed(one: Machine, other: Machine, called: Mapping[str, str]) -> Iterator[MachineDifference]:
    for theirs, mine in called.items():
        here, there = one.parts[mine], other.parts[theirs]
        label = name_of(mine, here.label)
        yield MachineDifference(
            "words", mine, label, "name", Fact(label, mine, here.place), Fact(label, theirs, there.place)
        )
    for name, part in one.parts.items():
        its = other.parts.get(name)
        if (
            its is not None
            and (labels := (name_of(name, part.label), name_of(name, its.label)))[0] != labels[1]
        ):
            facts_of = [Fact(labels[0], said, of.place) for said, of in zip(labels, (part, its), strict=True)]
            yield MachineDifference("words", name, labels[0], "label", *facts_of)
