"""The usual ways out of a stuck fastener, as plain data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sequencer.job.trouble import Way


def ways_json(ways: Sequence[Way]) -> dict[str, Any]:
    """The same as plain data."""
    return {
        "ways": [
            {
                "name": way.name,
                "label": way.label,
                "seconds": float(way.seconds),
                "wait_seconds": float(way.wait_seconds),
                "tools": list(way.tools),
                "cautions": list(way.cautions),
                "spoils": way.spoils,
                "barred": way.barred,
                "source": way.source,
            }
            for way in ways
        ]
    }
