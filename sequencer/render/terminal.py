"""A document on a terminal: wrapped with hanging indents, tones as styles, trees and tables drawn."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from rich.text import Text

from sequencer.document.blocks import (
    Document,
    Fields,
    Heading,
    Item,
    Items,
    Node,
    Para,
    StationBlock,
    Table,
    Title,
    Tone,
    TreeBlock,
    Verbatim,
    Words,
)
from sequencer.document.clean import clean
from sequencer.render.lines import NARROWEST, hanging

if TYPE_CHECKING:
    from rich.console import Console

    from sequencer.document.steps.cards import StationCard, StepCard

STYLES = {
    Tone.PLAIN: "",
    Tone.STRONG: "bold",
    Tone.FAINT: "dim",
    Tone.ALERT: "bold yellow",
    Tone.CALL: "italic",
}

STEP = " " * 6
"""Before what belongs to a numbered step."""

ALERT = "! "
"""Before an alert, so that it is seen without colour."""

GATE = "GATE  "
"""Before a torque, so that no gate is passed over."""

FIELD = 9
"""Columns that the names of fields get at the least."""


def show(document: Document, console: Console) -> None:
    """Print a document."""
    for block in document:
        _SHOW[type(block)](block, console)


def _title(block: Title, console: Console) -> None:
    hanging(console, styled(block.words, Tone.STRONG))


def _heading(block: Heading, console: Console) -> None:
    console.print()
    hanging(console, styled(block.words, block.tone))


def _para(block: Para, console: Console) -> None:
    if block.apart:
        console.print()
    lead = ALERT if block.tone is Tone.ALERT else ""
    hanging(console, styled(block.words, block.tone), lead=lead, style=STYLES[block.tone])


def _list(block: Items, console: Console) -> None:
    for item in block.items:
        _item(item, block.marks, console)


def _fields(block: Fields, console: Console) -> None:
    if block.apart:
        console.print()
    width = max([FIELD, block.names + 2, *(len(name) + 2 for name, _ in block.rows)])
    for name, words in block.rows:
        hanging(console, styled(words), lead=f"{name:<{width}}")


def _tree(block: TreeBlock, console: Console) -> None:
    console.print()
    hanging(console, styled(block.root.words, Tone.STRONG))
    _grow(block.root, "", console)


def _verbatim(block: Verbatim, console: Console) -> None:
    for line in block.lines:
        console.print(Text(line.rstrip()), soft_wrap=True)


def styled(words: Words, tone: Tone = Tone.PLAIN) -> Text:
    """Words as the terminal shows them, with nothing in them that it would obey."""
    if isinstance(words, str):
        return Text(clean(words), style=STYLES[tone])
    text = Text(style=STYLES[tone])
    for piece in words:
        if isinstance(piece, str):
            text.append(_kept(piece))
        else:
            text.append(_kept(piece.text), style=STYLES[piece.tone])
    return text


def _kept(piece: str) -> str:
    """A piece cleaned, with the blanks at its ends: they part it from its neighbours."""
    body = clean(piece)
    return f"{' ' * (len(piece) - len(piece.lstrip(' ')))}{body}{' ' if body and piece.endswith(' ') else ''}"


def _item(item: Item, marks: int, console: Console) -> None:
    mark = item.mark.rjust(marks) if item.mark[-1:].isdigit() else item.mark.ljust(marks)
    lead = f"  {mark}  " if marks else "  "
    hanging(
        console, styled(item.words, item.tone), lead=lead, hang=None if marks else 4, style=STYLES[item.tone]
    )
    inner = " " * len(lead) if marks else "    "
    for below in item.below:
        if isinstance(below, Item):
            _below(below, console, inner)
        else:
            hanging(console, styled(below), lead=inner)


def _below(item: Item, console: Console, indent: str) -> None:
    """A line that belongs to an item; its mark stands in front of it, an alert's in the margin."""
    mark = ALERT if item.tone is Tone.ALERT else f"{item.mark} " if item.mark else ""
    hanging(
        console, styled(item.words, item.tone), lead=indent + mark, style=STYLES[item.tone],
        hang=len(indent) + max(2, len(mark)),
    )  # fmt: skip


def _grow(above: Node, indent: str, console: Console) -> None:
    for node in above.below:
        last = node is above.below[-1]
        lead, then = ("└── ", "    ") if last else ("├── ", "│   ")
        room = max(NARROWEST, console.width - len(indent) - len(lead))
        for number, line in enumerate(styled(node.words).wrap(console, room, overflow="fold")):
            line.rstrip()
            start = indent + (then if number else lead)
            console.print(Text.assemble((start, "dim"), line), soft_wrap=True)
        _grow(node, indent + then, console)


def _table(block: Table, console: Console) -> None:
    from rich.table import Table as Drawn

    if not block.rows:
        console.print("Nothing.")
        return
    table = Drawn(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="dim")
    for place, head in enumerate(block.heads):
        wide = place in block.wide
        table.add_column(
            head,
            justify="right" if place in block.right else "left",
            ratio=3 if wide else None,
            no_wrap=bool(block.wide) and not wide,
            overflow="fold",
        )
    for place, row in enumerate(block.rows):
        table.add_row(*(Text(clean(cell), style="bold" if place in block.strong else "") for cell in row))
    with console.capture() as drawn:
        console.print(table)
    for line in drawn.get().splitlines():
        console.print(Text.from_ansi(line.rstrip()), soft_wrap=True)


def _station(block: StationBlock, console: Console) -> None:
    print_station(block.card, console, why=block.why)


def print_station(station: StationCard, console: Console, *, why: bool = False) -> None:
    """Where to stand and what to hold, how long that takes with the way there, and the steps.

    ``why``: also what each part is moved for.
    """
    head = Text(f"{station.where} · {station.tool}", style="bold")
    if station.time:
        head.append(f"   {station.time}", style="dim")
    console.print()
    mark = f"{station.clock:>5}  " if station.clock else f"{station.code:>4}  " if station.code else ""
    hanging(console, head, lead=mark, hang=len(mark) or 2)
    for step in station.steps:
        _step(step, console, why=why)


def _step(step: StepCard, console: Console, *, why: bool) -> None:
    """One numbered line: what must be read before the first touch above it, all else below."""
    for line in step.waits:
        hanging(console, line, lead=f"{STEP}< ", style=STYLES[Tone.CALL])
    for caution in step.cautions:
        hanging(console, caution, lead=STEP + ALERT, style=STYLES[Tone.ALERT])
    if step.opens:
        hanging(console, step.opens, lead=f"{STEP}── ", style=STYLES[Tone.ALERT])
    if step.closes:
        hanging(console, step.closes, lead=f"{STEP}── ", style="bold")
    for note in step.notes:
        hanging(console, note, lead=f"{STEP}note: ", hang=len(STEP) + 2)
    if step.look:
        hanging(console, step.look, lead=STEP)
    for entry in step.prepare:
        hanging(console, entry, lead=f"{STEP}[ ] before it: ", hang=len(STEP) + 4)
    words = Text(f"{step.words}  ({step.details})" if step.details else step.words)
    hanging(console, words, lead=f"{step.number:>4}  ")
    if why and step.purpose:
        hanging(console, step.purpose, lead=STEP, style="dim")
    for line in step.lines:
        hanging(console, line, lead=STEP)
    for number, line in enumerate(step.gate):
        lead = " " * len(GATE) if number else GATE
        hanging(console, line, lead=STEP + lead, style="" if number else "bold")
    _verbatim(Verbatim(tuple(f"{STEP}   {line}" for line in step.picture)), console)
    if step.tells:
        hanging(console, f"then {', '.join(step.tells)}", lead=f"{STEP}> ", style=STYLES[Tone.CALL])


_SHOW: Mapping[type, Callable[[Any, Console], None]] = {
    Title: _title,
    Heading: _heading,
    Para: _para,
    Items: _list,
    Fields: _fields,
    TreeBlock: _tree,
    Table: _table,
    StationBlock: _station,
    Verbatim: _verbatim,
}
"""How each block is shown."""
