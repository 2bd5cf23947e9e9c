"""What to check before a part is pulled: all that the file does not say about it and might.

Nothing here is a fixed list. An item is asked of a part for a reason that stands in the file (it holds a
fluid, it weighs 31 kg, its name speaks of a motor), and is gone as soon as the file answers it: by a joint
of the kind, by a word about the part, by ``seen``.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Any

from sequencer.machine.model import Joint, Machine, Part, Place
from sequencer.plan.looks.looks_kinds import is_hidden, kind_name, looks_table, words_of

THREADED = frozenset({"bolt", "nut", "screw", "stud", "fastener"})
"""Kinds of joint that a spanner undoes."""

PIPED = frozenset({"hose", "clamp", "union", "banjo", "coupling"})
"""Kinds of joint through which a fluid comes to a part."""

LOOKALIKES = THREADED | {"clip", "latch", "hook", "tie", "strap", "rivet", "bond"}
"""Kinds of joint of which there may be one more out of sight; a belt or a plug has no more than it shows."""


class CheckReason(Enum):
    """Why something is to be checked."""

    NAMED = "named"
    HEAVY = "heavy"
    WET = "wet"
    FACE = "face"
    UNSEEN = "unseen"
    FAR_SIDE = "far side"
    NOTHING_HOLDS = "nothing holds it"
    NEIGHBOUR = "neighbour"


@dataclass(frozen=True)
class Check:
    """One thing to check before a part is pulled.

    Attributes:
        what: What to look for, as the table names it; ``neighbours`` for parts that stand against it.
        why: The reason, and ``facts`` what it rests on: fluids, sides, parts, the weight.
        place: Where the file speaks of the part.
    """

    what: str
    why: CheckReason
    place: Place
    facts: tuple[str, ...] = ()


def before_you_pull(machine: Machine, part: str, gone: Collection[str] = ()) -> tuple[Check, ...]:
    """What to check before ``part`` is pulled; empty where the file says all that is asked.

    Args:
        machine: The machine, as its file says it.
        part: A part of it.
        gone: Parts that are off already: they hold nothing any more.

    Raises:
        KeyError: The machine has no such part.
    """
    whole = machine.parts[part]
    checks = [_unseen(machine, whole)]
    checks += [_check(machine, whole, rule) for rule in looks_table()["before"]]
    near = tuple(neighbours(machine, part, gone))
    if near:
        checks.append(Check("neighbours", CheckReason.NEIGHBOUR, whole.place, near))
    return tuple(check for check in checks if check is not None)


def sides_left(part: Part) -> tuple[str, ...]:
    """The sides that matter of a part that somebody has looked at: those opposite to where it was seen from.

    A way out (``out``) is a side that asks for its opposite as well, where ``seen`` speaks of ways too. Empty
    for a part that was seen from both sides, or of which nobody has said anything.
    """
    seen = words_of(*(part.seen or ()))
    table = looks_table()
    if not seen or not seen.isdisjoint(table["whole"]):
        return ()
    ways = any(word[0] in "+-" for word in seen)
    known = seen | (set(part.out) if ways else set())
    left = []
    for one, other in table["sides"]["pairs"]:
        for side, opposite in ((one, other), (other, one)):
            if not known.isdisjoint(side) and seen.isdisjoint(opposite):
                left.append(opposite[0])
    return tuple(left)


def nobody_looked(part: Part) -> bool:
    """Whether nobody has said that they looked at the part."""
    return not part.seen


def _unseen(machine: Machine, part: Part) -> Check | None:
    if not part.joints:
        return Check("what holds it", CheckReason.NOTHING_HOLDS, part.place)
    if {kind_name(joint) for joint in part.joints.values()}.isdisjoint(LOOKALIKES):
        return None
    left = sides_left(part)
    if left:
        return Check("hidden bolts", CheckReason.FAR_SIDE, part.place, left)
    if nobody_looked(part) and is_hidden(machine, part, part.position):
        return Check("hidden bolts", CheckReason.UNSEEN, part.place)
    return None


def _check(machine: Machine, part: Part, rule: Mapping[str, Any]) -> Check | None:
    asked = _asked(part, rule)
    if asked is None:
        return None
    kinds = {kind_name(joint) for joint in (*part.joints.values(), *_waited_for(machine, part))}
    if not kinds.isdisjoint(rule.get("kinds", ())) or not _said(machine, part).isdisjoint(
        rule.get("said", ())
    ):
        return None
    why, facts = asked
    return Check(rule["what"], why, part.place, facts)


def _asked(part: Part, rule: Mapping[str, Any]) -> tuple[CheckReason, tuple[str, ...]] | None:
    """Why a rule is asked of a part."""
    named = words_of(part.name, part.label, part.subsystem)
    wet = part.all_spills
    kinds = {kind_name(joint) for joint in part.joints.values()}
    bolted = not kinds.isdisjoint(THREADED)
    if not named.isdisjoint(rule.get("not_words", ())):
        return None
    if (rule.get("wet") or (rule.get("bolted_wet") and bolted and kinds.isdisjoint(PIPED))) and wet:
        return CheckReason.WET, wet
    if "from_kg" in rule and (part.weight_kg or 0) >= rule["from_kg"]:
        return CheckReason.HEAVY, (f"{part.weight_kg:g} kg",)
    if rule.get("face") and bolted and _is_sealed(part):
        return CheckReason.FACE, ()
    hits = named & set(rule.get("words", ()))
    return (CheckReason.NAMED, (min(hits),)) if hits else None


def _is_sealed(part: Part) -> bool:
    words = words_of(*(renewal.item for renewal in part.renew))
    return part.sealing is not None or not words.isdisjoint({"gasket", "gaskets"})


def _said(machine: Machine, part: Part) -> set[str]:
    """The words about a part: of its joints, notes, cautions and renewals, and of what it waits for."""
    texts: list[str | None] = [*part.notes.all, *part.cautions.all, *(renewal.item for renewal in part.renew)]
    for joint in part.joints.values():
        texts += [joint.name, joint.label, *joint.notes.all, *joint.cautions.all]
        texts += [joint.sealing.kind] if joint.sealing else []
    texts += ["sealant"] if part.sealing else []
    for need in part.all_waits:
        for atom in need.any_of:
            other = machine.parts[atom.part]
            texts += [other.name, other.label, atom.joint]
    return words_of(*texts)


def _waited_for(machine: Machine, part: Part) -> Iterator[Joint]:
    """The joints of other parts that the file says are undone before this one can move."""
    for need in part.all_waits:
        for atom in need.any_of:
            if atom.joint is not None and atom.part != part.name:
                yield machine.joint(atom.part, atom.joint)


def neighbours(machine: Machine, part: str, gone: Collection[str] = ()) -> Iterator[str]:
    """Parts whose boxes stand against those of ``part`` and of which the file says nothing beside it."""
    whole = machine.parts[part]
    named = _named_by(whole)
    for other in machine.parts.values():
        if (
            other.name != part
            and other.name not in gone
            and other.name not in named
            and part not in _named_by(other)
            and any(a.touches(b) for a in whole.boxes for b in other.boxes)
        ):
            yield other.name


def _named_by(part: Part) -> set[str]:
    """The other parts of which the file says something beside ``part``, at the part itself."""
    cracked = {name for joint in part.joints.values() if joint.crack for name in joint.crack.while_parts}
    return cracked | {atom.part for need in part.all_waits for atom in need.any_of}
