"""What else could be done while the job is open, as plain data."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from sequencer import __version__
from sequencer.plan.extras import Extra, Extras
from sequencer.render.data.blockers import number

VERSION = 1
"""Raised when the meaning of a key changes."""


def extras_json(found: Extras) -> dict[str, Any]:
    """The same as plain data."""
    return {
        "version": VERSION,
        "made_by": f"sequencer {__version__}",
        "kind": "extras",
        "machine": found.machine.name,
        "file": found.machine.file,
        "targets": [str(target) for target in found.targets],
        "both_ways": found.both_ways,
        "seconds": number(found.seconds),
        "proven": found.proven,
        "interrupted": found.interrupted,
        "extras": [_extra(extra) for extra in found.extras],
    }


def _extra(extra: Extra) -> dict[str, Any]:
    def seconds(value: Fraction | None) -> int | float | None:
        return None if value is None else number(value)

    return {
        "part": extra.part,
        "off_anyway": extra.comes_off_anyway,
        "possible": extra.possible,
        "now_seconds": seconds(extra.now),
        "alone_seconds": seconds(extra.alone),
        "share_saved": None if extra.share_saved is None else float(extra.share_saved),
        "proven": extra.proven,
        "worth_doing": extra.worth_doing,
        "price": seconds(extra.price),
        "renew": [
            {
                "item": item.item,
                "count": item.count,
                "price": seconds(item.price),
                "interval": item.interval,
            }
            for item in extra.renew
        ],
    }
