"""What waits for what in a job, as GraphML for graph programs."""

from __future__ import annotations

from dataclasses import replace
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

from sequencer.document.clean import clean
from sequencer.document.plans.both_ways import PaperJob
from sequencer.graph.said import sentence

if TYPE_CHECKING:
    from sequencer.graph.operations import Operation, Reason

ANY = "any"
"""The kind of a node that stands for several of which one will do."""


def job_graphml(job: PaperJob) -> bytes:
    """The operations of the way in: an arc runs from what is waited for to what waits, and says why.

    A node has its ``kind``, ``words``, ``part``, ``joint``, ``position``, ``tool``, ``seconds``, and its
    ``step`` in the plan. One of kind ``any`` has only that: of what it waits for one will do.
    """
    import networkx as nx

    found = nx.DiGraph(name=clean(job.name))
    steps = {step.operation.name: step.number for step in job.into.steps}
    graph = job.into.graph.to_networkx()
    names = {node: _name(node) for node in graph}
    for node, data in graph.nodes(data=True):
        operation = data.get("operation")
        told = {"kind": ANY} if operation is None else _told(job, operation, steps)
        found.add_node(names[node], **told)
    for before, after, data in graph.edges(data=True):
        found.add_edge(
            names[before], names[after], reason=clean(_why(data["reason"])), both=bool(data.get("both"))
        )
    text = "\n".join(nx.generate_graphml(found, named_key_ids=True))
    return f'<?xml version="1.0" encoding="utf-8"?>\n{text}\n'.encode()


def _name(node: Any) -> str:  # noqa: ANN401 - networkx takes anything for a node
    return str(node) if isinstance(node, str) else f"{ANY} of {node[0]} {node[1] + 1}"


def _why(reason: Reason) -> str:
    """Why one waits for the other; the file by its name alone, since others get this to read."""
    return str(replace(reason, place=replace(reason.place, file=PurePath(reason.place.file).name)))


def _told(job: PaperJob, operation: Operation, steps: dict[str, int]) -> dict[str, Any]:
    told = {
        "kind": operation.kind.value,
        "words": clean(sentence(job.machine, operation)),
        "part": operation.part or "",
        "joint": operation.joint or "",
        "position": operation.position,
        "tool": operation.tool,
        "seconds": float(operation.seconds),
    }
    return told | ({"step": steps[operation.name]} if operation.name in steps else {})
