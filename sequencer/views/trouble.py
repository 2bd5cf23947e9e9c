"""The usual ways out of a fastener that does not come undone."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from sequencer.job.trouble import SOURCE, Way
from sequencer.views.lines import hanging
from sequencer.views.words import duration, listing

if TYPE_CHECKING:
    from rich.console import Console


def print_ways(ways: Sequence[Way], console: Console) -> None:
    """Each way with its time, tools and cautions; those that are barred last, with the reason."""
    for way in ways:
        wait = f", then {duration(way.wait_seconds)} to act" if way.wait_seconds else ""
        hanging(console, f"{way.label}   {duration(way.seconds)}{wait}", lead=f"{way.name:<10}")
        if way.barred:
            hanging(console, f"not here: {way.barred}", lead=" " * 10, style="bold")
            continue
        hanging(console, listing(way.tools), lead=" " * 10)
        for text in way.cautions:
            hanging(console, text, lead=f"{'':<8}! ")
    hanging(console, f"All of these are {SOURCE}; the maker's manual comes first.", style="dim")


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
