"""Kinds of part, and how often a part of a kind turns out to be held by something that nobody had looked at.

The table is in ``data/looks.toml``; a person's own record is taken into it by Bayes' rule: the table's chance
stands for a Beta distribution that counts as much as ``weight`` parts, and the chance used is the mean of the
Beta distribution after the record, (weight × chance + blocked) / (weight + looked). Source: Gelman, Carlin,
Stern, Dunson, Vehtari and Rubin, Bayesian Data Analysis, 3rd ed., section 2.4 (from memory).
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib import resources
from typing import Any, NamedTuple

from sequencer.machine.model import Joint, Machine, Part
from sequencer.machine.trade.kinds import kind_of_joint
from sequencer.quantities import parse_seconds


class Count(NamedTuple):
    """Parts of one kind that came off (``looked``), and those that something unseen held (``blocked``)."""

    looked: int
    blocked: int


Record = Mapping[str, Count]
"""A person's own record, by the name of a kind of part; of looks by ``look_name``: what was there, and what
of that they did not show."""


@dataclass(frozen=True)
class Chance:
    """How likely a part is held by something unseen.

    Attributes:
        kind: The name of its kind, as the record calls it; ``label`` the same in words.
        share: Between 0 and 1.
        looked: Parts of the person's own that it rests on; 0: the table alone.
        source: Where it is from.
    """

    kind: str
    label: str
    share: Fraction
    looked: int
    source: str


@dataclass(frozen=True)
class Sensitivity:
    """How often a look shows what is there.

    Attributes:
        by: ``eye``, ``mirror``, ``borescope`` or ``hand``: feeling for it.
        share: Between 0 and 1.
        there: Looks of the person's own that it rests on, at parts that something did hold; ``showed``: those
            that showed it. With none the table stands alone, and that is assumed.
    """

    by: str
    share: Fraction
    there: int
    showed: int


def chance_of(
    part: Part,
    *,
    hidden: bool,
    partly: bool = False,
    record: Record | None = None,
    from_type: bool = False,
) -> Chance:
    """The chance for a part of a machine.

    What is only known from a type may besides be otherwise than there: the two chances p and q are taken
    to be independent, 1 − (1 − p)(1 − q).

    Args:
        part: The part.
        hidden: It is behind others, or seen only from below or behind.
        partly: Somebody has looked at it, though not from every side that matters.
        record: The person's own.
        from_type: The part is as in the type, and nobody confirmed it.
    """
    rule = _rule_of(part)
    table = Fraction(str(rule["hidden" if hidden else "open"]))
    name = f"{rule['name']}{' out of sight' if hidden else ''}"
    label = f"{rule['label']}{', out of sight' if hidden else ''}"
    look = looks_table()["look"]
    own = (record or {}).get(name, Count(0, 0))
    share = posterior_mean(table, Fraction(str(look["weight"])), own)
    if partly:
        share *= Fraction(str(look["partly"]))
    if from_type:
        share = 1 - (1 - share) * (1 - Fraction(str(look["from_type"])))
        label = f"{label}, from the type"
    return Chance(name, label, share, own.looked, "your own record" if own.looked else look["source"])


def posterior_mean(chance: Fraction, weight: Fraction, own: Count) -> Fraction:
    """The mean of Beta(weight × chance, weight × (1 − chance)) after ``own``; see the head of this file.

    Raises:
        ValueError: The counts can't be, or the chance or its weight.
    """
    if not 0 <= own.blocked <= own.looked or not 0 <= chance <= 1 or weight <= 0:
        raise ValueError(f"{own.blocked} of {own.looked} at a chance of {chance}, weight {weight}")
    return (weight * chance + own.blocked) / (weight + own.looked)


def kind_names() -> tuple[str, ...]:
    """Every name of a kind that a record may use."""
    names = [rule["name"] for rule in looks_table()["kind"]]
    return tuple(name + end for name in names for end in ("", " out of sight"))


def look_seconds() -> Fraction:
    """What one look takes, the way there left out."""
    return parse_seconds(looks_table()["look"]["time"])


def search_seconds(part: Part) -> Fraction:
    """Standing with ``part`` half out until what still holds it is found."""
    look = looks_table()["look"]
    heavy = (part.weight_kg or 0) >= look["heavy_kg"]
    return parse_seconds(look["heavy_search" if heavy else "search"])


def caution() -> str:
    """What to mind while looking (common practice)."""
    return str(looks_table()["look"]["caution"])


def _rule_of(part: Part) -> Mapping[str, Any]:
    said = words_of(part.name, part.label, part.subsystem)
    kinds = {kind_name(joint) for joint in part.joints.values()}
    for rule in looks_table()["kind"]:
        asked = {"words", "only", "joints", "from_kg"} & rule.keys()
        if (
            not asked
            or not said.isdisjoint(rule.get("words", ()))
            or ("only" in asked and kinds and kinds <= set(rule["only"]))
            or not kinds.isdisjoint(rule.get("joints", ()))
            or ("from_kg" in asked and (part.weight_kg or 0) >= rule["from_kg"])
        ):
            return dict(rule)
    raise LookupError("data/looks.toml has no kind that fits every part")


def sees(by: str, record: Record | None = None) -> Sensitivity:
    """How often a look shows what is there: the table, and the person's own looks by Bayes' rule."""
    own = (record or {}).get(look_name(by), Count(0, 0))
    table, weight = Fraction(str(looks_table()["sees"][by])), Fraction(str(looks_table()["look"]["weight"]))
    missed = posterior_mean(1 - table, weight, own)
    return Sensitivity(by, 1 - missed, own.looked, own.looked - own.blocked)


def ways_to_look() -> tuple[str, ...]:
    """What a look can be made with: ``eye``, ``mirror``, ``borescope``, ``hand``."""
    return tuple(looks_table()["sees"])


def look_name(by: str) -> str:
    """What the record calls looks: ``look by eye``."""
    return f"look by {by}"


def is_hidden(machine: Machine, part: Part, position: str) -> bool:
    """Whether a part is out of sight as fitted: behind something, or worked on from below or behind only."""
    return is_behind(part) or is_out_of_sight(machine, position)


def is_out_of_sight(machine: Machine, position: str) -> bool:
    """Whether one works from below or behind at a position."""
    place = machine.positions[position]
    words = looks_table()["hidden_position"]["words"]
    return not words_of(place.name, place.label).isdisjoint(words)


def is_behind(part: Part) -> bool:
    """Whether something has to move before the part, or any of its joints, can be reached."""
    joints = part.joints.values()
    own = {f"{part.name}/{name}" for name in part.joints}
    waits = [any(str(need) not in own for need in joint.waits) for joint in joints]
    return bool(part.to_reach) or (bool(waits) and all(waits))


def kind_name(joint: Joint) -> str:
    """The name of the joint's kind in the table of kinds, or the file's own word."""
    kind = kind_of_joint(joint.kind)
    return kind.name if kind else joint.kind


def words_of(*texts: str | None) -> set[str]:
    """The words in some texts, in lower case; a word with dashes counts whole and in its pieces."""
    said = set(re.findall(r"[\w+-]+", " ".join(text for text in texts if text).casefold()))
    return said | {piece for word in said for piece in word.split("-") if piece}


@cache
def looks_table() -> dict[str, Any]:
    """``data/looks.toml``."""
    text = resources.files("sequencer.plan").joinpath("data/looks.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
