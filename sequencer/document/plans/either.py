"""Ways of meeting a need, in words; and where a plan might as well have gone the other one."""

from __future__ import annotations

from sequencer.document.hours import roughly
from sequencer.graph.blocker_tree import Way, subject
from sequencer.graph.operations import Kind, Operation, OperationGraph
from sequencer.graph.said import joint_words, part_words
from sequencer.machine.called import name_of
from sequencer.machine.model import Machine
from sequencer.plan.either import Either, either
from sequencer.plan.plan import Teardown

_AS_LONG = 10
"""Fewer seconds apart is no difference."""


def either_lines(plan: Teardown) -> list[str]:
    """A line for each choice of a way in that might as well have gone the other way."""
    return [either_words(plan, one) for one in either(plan)]


def either_words(plan: Teardown, one: Either) -> str:
    """``Heater hoses: bulkhead end or head end: either will do (about 4 min apart); head end is the …``."""
    machine, graph = plan.machine, plan.graph
    ways = [graph.operations[way.operations[0]] for way in (one.taken, one.way)]
    safer = graph.operations[one.safer.operations[0]]
    if all(way.joint for way in ways) and len({way.part for way in ways}) == 1:
        assert ways[0].part is not None
        both = f"{part_words(machine, ways[0].part)}: {' or '.join(_joint(machine, way) for way in ways)}"
        better = _joint(machine, safer)
    else:
        both, better = (
            " or ".join(way_words(graph, way) for way in (one.taken, one.way)),
            way_words(graph, one.safer),
        )
    apart = abs(one.seconds)
    told = "equally long" if apart < _AS_LONG else f"about {roughly(apart)} apart"
    return f"{both}: either will do ({told}); {better} is the safer bet"


def way_words(graph: OperationGraph, way: Way) -> str:
    """The least of what a way asks for: ``Motor loose``, ``Earth strap: body end undone``."""
    operation, machine = graph.operations[way.operations[0]], graph.machine
    if operation.joint is not None and operation.part is not None:
        return f"{joint_words(machine, operation.part, operation.joint)} undone"
    state = {Kind.LOOSEN: "loose", Kind.MOVE_ASIDE: "aside"}.get(operation.kind, "off")
    return f"{part_words(machine, subject(operation))} {state}"


def _joint(machine: Machine, operation: Operation) -> str:
    assert operation.part is not None
    assert operation.joint is not None
    return name_of(operation.joint, machine.joint(operation.part, operation.joint).label)
