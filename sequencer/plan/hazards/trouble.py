"""Joints that do not come undone as they should, and the usual ways out of it.

The ways stand in ``data/trouble.toml``: common practice, each with its time, tools and caution. The gentlest
comes first; who has tried it asks for the next. Heat and sparks are refused beside fuel, airbags, brakes and
hidden springs: the caution says why.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib import resources
from typing import Any

from sequencer.errors import SequencerError
from sequencer.graph.said import joint_words
from sequencer.machine.model import HAND, Joint, Machine
from sequencer.machine.trade.kinds import kind_of_joint
from sequencer.quantities import parse_seconds

SOURCE = "common practice"


@dataclass(frozen=True)
class Freeing:
    """One way out.

    Attributes:
        label: What is done, with the joint's name in it.
        seconds: The work, for as many fasteners as are in trouble.
        wait_seconds: What it has to act; other steps go on meanwhile.
        spoils: The fastener or the part is not fit for use afterwards: a new one goes back in.
        cautions: Its own, and that of every hazard near the joint.
        barred: Why it is not to be done here; None where it may be.
    """

    name: str
    label: str
    seconds: Fraction
    wait_seconds: Fraction
    tools: tuple[str, ...]
    cautions: tuple[str, ...]
    spoils: bool
    barred: str | None
    source: str = SOURCE


def states() -> dict[str, str]:
    """The words for what can be wrong with a joint, and what each means."""
    return dict(_table()["states"])


def ways_out(machine: Machine, joint: Joint, state: str, count: int = 1) -> tuple[Freeing, ...]:
    """The usual ways out for so many fasteners of a joint, the gentlest first; what is barred comes last.

    Raises:
        SequencerError: There is no such state.
    """
    known = states()
    if state not in known:
        raise SequencerError(f"there is no trouble called {state!r}", f"it can be {', '.join(known)}")
    hazards = tuple(_hazards(machine, joint))
    found = [
        _way(machine, entry, joint, hazards, count) for entry in _table()["way"] if _fits(entry, joint, state)
    ]
    return tuple(sorted(found, key=lambda way: way.barred is not None))


def next_way(ways: Sequence[Freeing], tried: Iterable[str]) -> Freeing | None:
    """The first way that is not barred and has not been tried."""
    gone = set(tried)
    return next((way for way in ways if way.name not in gone and way.barred is None), None)


def _fits(entry: dict[str, Any], joint: Joint, state: str) -> bool:
    kind = kind_of_joint(joint.kind)
    kinds = entry.get("kinds")
    by_hand = joint.tool == HAND
    mine = kind is not None and kind.name in kinds if kinds else not by_hand or entry["name"] == "penetrant"
    return state in entry["for"] and mine


def _way(
    machine: Machine, entry: dict[str, Any], joint: Joint, hazards: Sequence[str], count: int
) -> Freeing:
    what = joint_words(machine, joint.part, joint.name)
    heats = bool(entry.get("heat"))
    return Freeing(
        name=entry["name"],
        label=entry["label"].format(what=what),
        seconds=_seconds(entry["time"]) * count,
        wait_seconds=_seconds(entry.get("wait", "0 s")),
        tools=tuple(entry["tools"]),
        cautions=(entry["caution"], *(hazards if heats or entry["name"] == "shock" else ())),
        spoils=bool(entry.get("stop")),
        barred=hazards[0] if heats and hazards else None,
    )


def _hazards(machine: Machine, joint: Joint) -> Iterator[str]:
    """The cautions of what is near: the joint's part, its fluids, and what the part is behind or holds."""
    part = machine.parts[joint.part]
    near = [joint.name, joint.label, part.name, part.label, part.subsystem, *part.spills(joint)]
    near += [machine.fluids[fluid].label for fluid in part.spills(joint)]
    for need in (*part.waits, *joint.waits):
        for atom in need.any_of:
            near += [atom.part, machine.parts[atom.part].label]
    for other in machine.parts.values():
        if any(atom.part == part.name for need in other.waits for atom in need.any_of):
            near += [other.name, other.label]
    said = set(re.findall(r"[\w-]+", " ".join(name for name in near if name).casefold()))
    said |= {piece for word in said for piece in word.split("-")}
    for hazard in _table()["hazard"]:
        if said & set(hazard["words"]):
            yield hazard["text"]


@cache
def _seconds(text: str) -> Fraction:
    """A time of the table, read once: each joint of a plan is asked for its ways out."""
    return parse_seconds(text)


@cache
def _table() -> dict[str, Any]:
    text = resources.files("sequencer.plan").joinpath("data/trouble.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
