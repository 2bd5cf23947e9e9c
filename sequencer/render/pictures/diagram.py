"""The dependency diagram for a helper: what blocks what, to which state, and in which order it goes.

One box for each part at each position where something of it is undone; boxes stand together by position.
An arrow runs from what has to move to what it is in the way of. Told apart without colour: a part that comes
off has a solid frame, one that is only moved a dashed frame with its state in words, what stays fitted a
thin grey one.
"""

from __future__ import annotations

from sequencer.machine.trade.relations import relations
from sequencer.render.pictures.boxes import BLACK, encoded, escaped, plain, table, title, wrapped
from sequencer.render.pictures.drawing import Drawing, Extract

FONT = "Helvetica"
"""A font whose widths every drawing program knows, so that no label is cut."""

PAPER_FONT = "Times-Roman"
"""The same for paper, where the letters are those of ``views/paper``, which are about as wide."""

NARROW, WIDE = 150, 210
"""Letters to a line of what stands at the head of a drawing."""

FULL = 30
"""Boxes from which on a drawing is as wide as its sheet."""

LIST_WRAP = 130
"""Letters to a line of the work that is named under a position."""

READING = "; ".join(
    (
        "An arrow runs from what has to move to what it is in the way of",
        *(one.legend for one in relations() if one.legend),
        "a dashed one from one of several that would do.",
    )
)
NUMBERS = (
    "Numbers are the steps of the plan: c cracks, s slackens. Thick frame: what the job is for. Dashed "
    "frame: only moved. Grey: stays fitted."
)


def dot_of(drawing: Drawing, extract: Extract | None = None, font: str = FONT) -> str:
    """A drawing, or one page of it, as DOT text for letters of ``font``."""
    import graphviz

    # On paper the head of the page says what it is, and a page that is full is wide enough for longer lines.
    alone, full = extract is None and font == PAPER_FONT, len(drawing.by_key()) > FULL
    head = extract.title if extract else "" if alone else drawing.title()
    legend = f"{READING} {NUMBERS}" if drawing.plan else READING
    graph = graphviz.Digraph("machine")
    graph.attr(
        "graph",
        rankdir="LR",
        newrank="true",
        fontname=font,
        fontsize="14",
        size="11.3,7.9",
        nodesep=".08",
        ranksep=".15",
        labelloc="t",
        labeljust="l",
        label=title(head, legend, drawing.staying(), WIDE if alone and full else NARROW),
        margin="0" if font == PAPER_FONT else "0.1",
    )
    graph.attr("node", fontname=font, fontsize="12", shape="plain")
    graph.attr("edge", fontname=font, fontsize="12", arrowsize="0.55", color="#303030")
    work = drawing.other_work(extract)
    for position, boxes in drawing.by_position(extract).items():
        label = [plain(f"<b>{escaped(drawing.machine.positions[position].label)}</b>", BLACK)]
        if position in work:
            label.append(plain(wrapped(work[position], LIST_WRAP), BLACK))
        with graph.subgraph(name=f"cluster_{encoded(position)}") as cluster:
            cluster.attr(label=table(label), style="rounded", color="#606060")
            for key, content in boxes.items():
                cluster.node(key, label=content)
    for arrow in drawing.arrows():
        ends = {arrow.tail.partition(":")[0], arrow.head.partition(":")[0]}
        if extract is None or ends <= extract.keys:
            graph.edge(arrow.tail, arrow.head, **arrow.looks)
    return str(graph.source)
