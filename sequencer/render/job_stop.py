"""Leaving a job on the terminal: whether the machine may be left, and what makes it safe."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sequencer.document.evenings.sittings import leaving_words, left_words
from sequencer.document.evenings.way_out import way_lines, way_title
from sequencer.job.evenings.way_out import WayOut
from sequencer.job.now.moment import Moment
from sequencer.job.reports.status import Leaving
from sequencer.machine.model import Machine
from sequencer.plan.hazards.stops import Verdict
from sequencer.render.lines import hanging

if TYPE_CHECKING:
    from rich.console import Console


def print_leaving(told: Leaving, machine: Machine, console: Console) -> None:
    """Whether the machine may be left so, and what to see to before you go."""
    console.print()
    style = "bold" if told.verdict is Verdict.SAFE else "bold yellow"
    hanging(console, leaving_words(told), style=style)
    for line in left_words(machine, told.loose):
        hanging(console, line, lead="  ")


def print_ways(moment: Moment, ways: Sequence[WayOut], console: Console, *, numbered: bool = False) -> None:
    """How to make the machine safe, the quickest way first; ``numbered`` to be picked by a number."""
    machine = moment.machine
    hanging(console, "To make it safe first:" if numbered else "To make it safe:", style="bold")
    for number, way in enumerate(ways, start=1):
        last = moment.state.number(way.ops[-1])
        lead = f"  {number}  " if numbered else "  "
        hanging(console, f"{way_title(machine, way, last)}.", lead=lead, hang=2)
        for line in way_lines(machine, way):
            hanging(console, line, lead=" " * len(lead) + "- ")
        if not way.single:
            hanging(
                console,
                "Some of it asks for a reading or a list: tick it step by step.",
                lead=" " * len(lead),
            )
        elif not numbered:
            word = "on" if way.onward else "back"
            hanging(console, f"once that is done: sequencer stop --made-safe {word}", lead="  ", style="dim")
