"""Looks before the work, and what to check before a part is pulled, as plain data."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from sequencer.document.looks import check_words, unseen_words
from sequencer.document.words import part_words
from sequencer.machine.model import Machine
from sequencer.plan.looks import Check, Look, LookFirst


def looks_json(found: LookFirst) -> dict[str, Any]:
    """What stands beside a plan's own keys; its steps and totals stay as they are."""
    machine = found.plan.machine
    looked = {look.part for look in found.looks}
    return {
        "looks": [look_json(machine, look) for look in found.looks],
        "looks_totals": {"seconds": _number(found.seconds), "saves_seconds": _number(found.saves)},
        "unseen": [look_json(machine, look) for look in found.unseen if look.part not in looked],
        "before_you_pull": [
            {"step": number, "checks": [check_json(machine, check) for check in checks]}
            for number, checks in found.lifts.items()
        ],
    }


def look_json(machine: Machine, look: Look) -> dict[str, Any]:
    """A part at which nobody has looked, and what a look at it would be worth."""
    return {
        "part": look.part,
        "says": f"Look at {part_words(machine, look.part)}",
        "unseen": unseen_words(machine, look),
        "sides": list(look.sides),
        "behind": list(look.behind),
        "position": look.position,
        "tool": look.tool,
        "after_step": look.after,
        "shows_at_step": look.shows,
        "kind": look.chance.kind,
        "chance": float(look.chance.share),
        "chance_from": look.chance.source,
        "own_parts": look.chance.looked,
        "late_seconds": _number(look.late),
        "early_seconds": _number(look.early),
        "seconds": _number(look.seconds),
        "saves_seconds": _number(look.saves),
        "look_for": [check_json(machine, check) for check in look.checks],
        "place": {"file": look.place.file, "line": look.place.line},
    }


def check_json(machine: Machine, check: Check) -> dict[str, Any]:
    """One thing to check before a part is pulled."""
    return {
        "what": check.what,
        "why": check.why.value,
        "facts": list(check.facts),
        "says": check_words(machine, check),
    }


def _number(value: Fraction) -> int | float:
    return int(value) if value.denominator == 1 else float(value)
