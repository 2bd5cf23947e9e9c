"""The reassembly as a flow: what goes back in which order, and its gates as bars across.

A row reads from left to right, as the work goes on. A bar across the whole flow stands where a joint would be
closed off: nothing below it is begun before the torques on it are given. Told apart without colour: a part
that had come off has a solid frame, one that had only been moved a dashed one, other work none.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sequencer.document.hours import hours_words
from sequencer.document.plans.plan import aims_of
from sequencer.document.steps.torques import stages_words
from sequencer.graph.operations import Kind
from sequencer.graph.said import part_words, path_words, sentence
from sequencer.plan.plan import Refit, Step
from sequencer.render.pictures.boxes import FONT, PAPER_FONT, SIZE, escaped, html_lines, table, title

ACROSS = 5
"""Boxes to a row."""

CELL = 150
"""Points of a box, before the drawing is fitted to its sheet."""

ROWS = 24
"""Rows and bars on a page: with what a bar says, about forty boxes."""

_BLANK = "&#160;&#160;"

LEGEND = (
    "Rows read from left to right. Go over a bar only when every torque on it is given. Numbers are the "
    "steps of the way back. Solid frame: had come off. Dashed frame: had only been moved."
)


@dataclass(frozen=True)
class FlowCell:
    """A run of steps on one part, or on none."""

    steps: tuple[Step, ...]

    @property
    def numbers(self) -> str:
        """``12``, or ``12–15``."""
        first, last = self.steps[0].number, self.steps[-1].number
        return str(first) if first == last else f"{first}–{last}"


def flow(plan: Refit, font: str = FONT, rows: int = ROWS) -> list[str]:
    """The reassembly as DOT text, one for each page of about so many ``rows`` and bars."""
    bands = _bands(plan)
    size = -(-len(bands) // max(1, -(-len(bands) // rows))) or 1
    pages = [bands[start : start + size] for start in range(0, len(bands), size)] or [[]]
    return [_dot(plan, page, number, len(pages), font) for number, page in enumerate(pages, start=1)]


def _bands(plan: Refit) -> list[str]:
    """The rows and bars from top to bottom, each a table."""
    bands: list[str] = []
    row: list[FlowCell] = []

    def close() -> None:
        bands.extend(_row(plan, row[start : start + ACROSS]) for start in range(0, len(row), ACROSS))
        row.clear()

    for step in plan.steps:
        if plan.closing_off(step.number):
            close()
            bands.append(_bar(plan, step))
        if row and row[-1].steps[-1].operation.part == step.operation.part is not None:
            row[-1] = FlowCell((*row[-1].steps, step))
        else:
            row.append(FlowCell((step,)))
    close()
    return bands


def _dot(plan: Refit, bands: Sequence[str], number: int, pages: int, font: str) -> str:
    import graphviz

    graph = graphviz.Digraph("reassembly")
    head = f"{plan.machine.name}: {aims_of(plan)}, the way back, {hours_words(plan.hours)}"
    if pages > 1:
        head += f", page {number} of {pages}"
    graph.attr(
        "graph", rankdir="TB", fontname=font, fontsize="14", size="7.5,10.4", nodesep=".1", ranksep=".16",
        labelloc="t", labeljust="l", label=title(head, LEGEND, ""),
        margin="0" if font == PAPER_FONT else "0.1",
    )  # fmt: skip
    graph.attr("node", fontname=font, fontsize=str(SIZE), shape="plain")
    graph.attr("edge", arrowsize="0.6", penwidth="1.5", color="#303030")
    for place, band in enumerate(bands):
        graph.node(f"b{place}", label=band)
        if place:
            graph.edge(f"b{place - 1}", f"b{place}")
    return str(graph.source)


def _row(plan: Refit, cells: Sequence[FlowCell]) -> str:
    inner = "".join(
        f'<td width="{CELL}" height="30" fixedsize="false">{_cell(plan, cell)[1:-1]}</td>'
        + ("" if cell is cells[-1] else f"<td>{_font('&#160;→&#160;')}</td>")
        for cell in cells
    )
    return table([f"<tr>{inner}</tr>"])


def _cell(plan: Refit, cell: FlowCell) -> str:
    part = cell.steps[0].operation.part
    gates = {gate.step for gate in plan.gates}
    if part is None:
        words, framed, dashed = sentence(plan.machine, cell.steps[0].operation), 0, False
    else:
        words, framed = part_words(plan.machine, part), 1
        dashed = Kind.FIT.of(part) not in {op.name for op in plan.operations}
    torques = [str(step.number) for step in cell.steps if step.number in gates]
    told = (
        " torque" if len(torques) == len(cell.steps) else f", torque {', '.join(torques)}" if torques else ""
    )
    rows = [
        f'<tr><td align="left">{_words(f"{cell.numbers}{told}", bold=True)}</td></tr>',
        f'<tr><td align="left">{_words(words)}</td></tr>',
    ]
    return table(rows, border=framed, dashed=dashed)


def _bar(plan: Refit, step: Step) -> str:
    """The bar before a step that closes gates off."""
    lines = []
    for gate in plan.closing_off(step.number):
        torque = stages_words(plan.machine.joint_at(gate.joint))
        lines.append(f"{gate.step} {path_words(plan.machine, gate.joint)}: {torque}")
    told = _font(f"<b>{escaped(f'Not on to step {step.number} before the torque of')}</b>")
    rows = [f'<tr><td align="left" border="4" sides="T" width="{CELL * ACROSS}">{told}</td></tr>']
    rows += [f'<tr><td align="left">{_font(html_lines(line, 110))}</td></tr>' for line in lines]
    rows.append(f'<tr><td border="4" sides="T" height="2" width="{CELL * ACROSS}"></td></tr>')
    return table(rows)


def _words(words: str, *, bold: bool = False) -> str:
    content = html_lines(words, 24, between=_BLANK)
    return _font(f"<b>{content}</b>" if bold else content)


def _font(content: str) -> str:
    return f'<font point-size="{SIZE}">{content}</font>'
