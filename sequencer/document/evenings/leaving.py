"""Leaving a job: whether the machine may be left, and what makes it safe."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sequencer.document.blocks import Block, Item, Items, Para, Span, Tone
from sequencer.document.evenings.sittings import leaving_words, left_words
from sequencer.document.evenings.way_out import way_lines, way_title
from sequencer.job.evenings.way_out import WayOut
from sequencer.job.now.moment import Moment
from sequencer.job.reports.status import Leaving
from sequencer.machine.model import Machine
from sequencer.plan.hazards.stops import Verdict


def leaving_document(told: Leaving, machine: Machine) -> Iterator[Block]:
    """Whether the machine may be left so, and what to see to before you go."""
    unsafe = told.verdict is Verdict.UNSAFE
    yield Para(leaving_words(told), Tone.ALERT if unsafe else Tone.STRONG, apart=True)
    yield Items(tuple(map(Item, left_words(machine, told.loose))))


def ways_out_document(moment: Moment, ways: Sequence[WayOut], *, numbered: bool = False) -> Iterator[Block]:
    """How to make the machine safe, the quickest way first; ``numbered`` to be picked by a number."""
    yield Para("To make it safe first:" if numbered else "To make it safe:", Tone.STRONG)
    yield Items(
        tuple(_way(moment, way, number if numbered else None) for number, way in enumerate(ways, start=1)),
        marks=1 if numbered else 0,
    )


def _way(moment: Moment, way: WayOut, number: int | None) -> Item:
    """A way; without a number the command that says that it was taken."""
    last = moment.state.number(way.ops[-1])
    below: list[Item] = [Item(line, "-") for line in way_lines(moment.machine, way)]
    if not way.single:
        below.append(Item("Some of it asks for a reading or a list: tick it step by step."))
    elif number is None:
        word = "on" if way.onward else "back"
        below.append(Item((Span(f"once that is done: sequencer stop --made-safe {word}", Tone.FAINT),)))
    mark = "" if number is None else str(number)
    return Item(f"{way_title(moment.machine, way, last)}.", mark, below=tuple(below))
