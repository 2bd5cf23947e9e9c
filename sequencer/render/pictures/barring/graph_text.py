"""A picture of what blocks what as DOT text, for whoever lays it out with Graphviz."""

from __future__ import annotations

from sequencer.document.barring.things import Barring, Standing
from sequencer.document.clean import clean
from sequencer.machine.trade.relations import relations
from sequencer.render.pictures.boxes import node_key

_LOOKS = {
    Standing.AIM: {"penwidth": "3"},
    Standing.OFF: {},
    Standing.MOVED: {"style": "dashed"},
    Standing.OPENED: {"style": "dotted"},
    Standing.WORK: {"style": "rounded"},
    Standing.FLUID: {"shape": "octagon"},
}


def dot_of(picture: Barring, of: str = "") -> str:
    """Each thing as a node, each relation as an arrow with its reason; ``of`` what part of the job it is."""
    import graphviz

    graph = graphviz.Digraph("machine")
    arrows = {ask.arrow for thing in picture.things.values() for _, ask in thing.waits()}
    legends = [
        f"{r.arrow['arrowhead']}: {r.legend}" for r in relations() if r.arrow.get("arrowhead") in arrows
    ]
    title = "; ".join(filter(None, (clean(picture.title), of, *legends)))
    graph.attr("graph", rankdir="RL", label=graphviz.escape(title))
    graph.attr("node", shape="box")
    for thing in (*picture.first, *picture.things.values()):
        lines = [f"{thing.number} {clean(thing.words)}".strip()]
        lines += [words] if (words := ", ".join(filter(None, (thing.stage.shown, thing.told)))) else []
        lines += [f"{row.numbers} {clean(row.words)}".strip() for row in thing.rows]
        label = "".join(rf"{graphviz.escape(line)}\l" for line in lines)
        graph.node(node_key(thing.key, thing.place), label, **_LOOKS[thing.look])
    for thing in picture.things.values():
        for joint, ask in thing.waits():
            told = f"{ask.phrase} one of {len(ask.ways)}" if len(ask.ways) > 1 else ask.phrase
            for way in ask.ways:
                if way.thing in picture.things:
                    graph.edge(
                        node_key(way.thing, picture.things[way.thing].place),
                        node_key(thing.key, thing.place),
                        graphviz.escape(clean(f"{joint}: {told}" if joint else told)),
                        arrowhead=ask.arrow,
                        style="solid" if way.taken else "dashed",
                    )
    return str(graph.source)
