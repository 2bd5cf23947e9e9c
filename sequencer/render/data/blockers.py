"""What is in the way, as plain data."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from sequencer import __version__
from sequencer.document.blockers import surprise_words, thing_words
from sequencer.graph.blockers import Call, Thing
from sequencer.machine.model import Place
from sequencer.plan.blockers import InTheWay, Saved, also_stay, reasons
from sequencer.plan.prices import Price

VERSION = 1
"""Raised when the meaning of a key changes."""


def blockers_json(found: InTheWay, why: str | None = None) -> dict[str, Any]:
    """Everything that the text says, and all of it; with ``why`` also the reasons for one part."""
    data = {
        "version": VERSION,
        "made_by": f"sequencer {__version__}",
        "kind": "blockers",
        "machine": found.machine.name,
        "file": found.machine.file,
        "targets": [str(target) for target in found.targets],
        "totals": {
            "seconds": number(found.totals.seconds),
            "tool_changes": found.totals.tool_changes,
            "reach_arounds": found.totals.reach_arounds,
        },
        "bound_seconds": number(found.bound_seconds),
        "proven": found.proven,
        "things": [_thing(found, thing) for thing in found.tree.things.values()],
        "by_surprise": [
            {
                "part": name,
                "points": seen.points,
                "because": surprise_words(found.machine, seen),
            }
            for name, seen in found.surprise.items()
        ],
        "either_way": [
            {
                "waits": list(other.fork.later),
                "place": place_json(other.fork.reason.place),
                "taken": list(other.taken.operations),
                "other": list(other.way.operations),
                "price": price_json(other.price),
                "more_seconds": _negative(found, other.price),
            }
            for other in found.others
        ],
        "need_not_move": [_saved(found, saved) for saved in found.saved],
        "interrupted": found.interrupted,
    }
    if why is not None:
        shortest, bound = reasons(found, why) if why in found.tree.things else ((), ())
        data["why"] = {
            "part": why,
            "shortest": [
                {"waits": link.later, "waits_for": link.earlier, "because": str(link.reason)}
                for link in shortest
            ],
            "binding": [str(link.reason) for link in bound],
        }
    return data


def _thing(found: InTheWay, thing: Thing) -> dict[str, Any]:
    return {
        "name": thing.name,
        "is_part": thing.is_part,
        "says": thing_words(found.machine, thing),
        "state": thing.state.word if thing.is_part else None,
        "joints": list(thing.joints),
        "operations": [operation.name for operation in thing.operations],
        "seconds": number(found.seconds.get(thing.name, Fraction(0))),
        "links": thing.depth,
        "under": thing.parent,
        "calls": [_call(call) for call in thing.calls],
    }


def _call(call: Call) -> dict[str, Any]:
    return {
        "waits": call.later,
        "waits_for": call.earlier,
        "relation": call.reason.kind.value,
        "text": call.reason.text,
        "place": place_json(call.reason.place),
    }


def _saved(found: InTheWay, saved: Saved) -> dict[str, Any]:
    saving = None if saved.price is None else found.saving(saved.price)
    also = [] if saved.price is None else [thing.name for thing in also_stay(found, saved.price)]
    return {
        "part": saved.part,
        "price": price_json(saved.price),
        "saves_seconds": None if saving is None else number(saving),
        "need_not_move_either": [name for name in also if name != saved.part],
    }


def _negative(found: InTheWay, price: Price | None) -> int | float | None:
    saving = None if price is None else found.saving(price)
    return None if saving is None else number(-saving)


def price_json(price: Price | None) -> dict[str, Any] | None:
    """A changed job; None where it was not worked out, and no seconds where it can't be."""
    if price is None:
        return None
    return {
        "seconds": None if price.seconds is None else number(price.seconds),
        "bound_seconds": number(price.bound_seconds),
        "proven": price.proven,
    }


def place_json(place: Place) -> dict[str, Any]:
    """A place in the machine file."""
    return {"file": place.file, "line": place.line}


def number(value: Fraction) -> int | float:
    """Whole numbers stay whole; the rest is as near as a float comes."""
    return int(value) if value.denominator == 1 else float(value)
