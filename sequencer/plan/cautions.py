"""Cautions where they belong: those of the machine file, and the usual ones of the trade beside them."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from sequencer.graph.operations import Kind, Operation
from sequencer.machine.model import Joint, Machine, Part, Said
from sequencer.plan.lifting import Lift, lift_words, lifts
from sequencer.plan.plan import Plan, Step


@dataclass(frozen=True)
class Caution:
    """A caution at a step; ``source`` is ``file``, or ``common practice``."""

    text: str
    source: str


def notice() -> str:
    """The notice at the head of every plan."""
    return str(_usual()["notice"])


def cautions(plan: Plan, steps: Sequence[Step] | None = None) -> dict[int, tuple[Caution, ...]]:
    """The cautions at each step, by its number; one text is shown once for each part that it is about.

    ``steps`` are those of the plan that one person does; left out, all.
    """
    shown: set[tuple[str, str]] = set()
    found: dict[int, tuple[Caution, ...]] = {}
    lifted: Mapping[int, Lift] = lifts(plan)
    for step in plan.steps if steps is None else steps:
        fresh = []
        for about, caution in _at(plan.machine, step.operation, lifted.get(step.number), back=plan.back):
            if (about, caution.text) not in shown:
                shown.add((about, caution.text))
                fresh.append(caution)
        if fresh:
            found[step.number] = tuple(fresh)
    return found


def _at(
    machine: Machine, operation: Operation, lift: Lift | None, *, back: bool
) -> Iterator[tuple[str, Caution]]:
    """Every caution that bears on an operation, with what it is about."""
    position = machine.positions[operation.position]
    yield from ((position.name, Caution(text, "file")) for text in position.cautions.on(back=back))
    for rule in _usual()["position"]:
        if _mentions(rule, position.name, position.label):
            yield position.name, Caution(rule["text"], "common practice")
    thing = operation.part or operation.subject
    yield from (
        (thing, Caution(text, "file")) for said in _own(machine, operation) for text in said.on(back=back)
    )
    yield from ((thing, Caution(text, "common practice")) for text in _by_kind(machine, operation, lift))


def _own(machine: Machine, operation: Operation) -> Iterator[Said]:
    if operation.part is not None:
        part = machine.parts[operation.part]
        yield part.cautions
        if operation.joint is not None:
            yield part.joints[operation.joint].cautions
    elif operation.kind in (Kind.TASK, Kind.RESTORE):
        yield machine.tasks[operation.subject].cautions
    else:
        yield machine.fluids[operation.subject].cautions


def _by_kind(machine: Machine, operation: Operation, lift: Lift | None) -> Iterator[str]:
    usual = _usual()
    part = machine.parts[operation.part] if operation.part else None
    joint = part.joints[operation.joint] if part and operation.joint else None
    heavy = usual["heavy"]
    if lift and (lift.kg or 0) >= heavy["from_kg"]:
        yield heavy["text"].format(weight=lift_words(machine, lift))
    if operation.kind is Kind.DRAIN:
        yield usual["drain"]["text"]
    if operation.kind is Kind.FILL:
        yield usual["fill"]["text"]
    for rule in usual["work"]:
        if joint and joint.kind in rule.get("not_kinds", ()):
            continue
        if (joint and joint.kind in rule.get("kinds", ())) or _mentions(
            rule, *_names(machine, operation, part, joint)
        ):
            yield rule["text"]


def _names(
    machine: Machine, operation: Operation, part: Part | None, joint: Joint | None
) -> Iterable[str | None]:
    if part is None:
        task = machine.tasks.get(operation.subject)
        fluid = machine.fluids.get(operation.subject)
        return (operation.subject, task.label if task else None, fluid.label if fluid else None)
    return (part.name, part.label, *((joint.name, joint.label) if joint else ()))


def _mentions(rule: dict[str, Any], *names: str | None) -> bool:
    said = set(re.findall(r"[\w-]+", " ".join(name for name in names if name).lower()))
    said |= {piece for word in said for piece in word.split("-")}
    return any(set(word.split()) <= said for word in rule.get("words", ()))


@cache
def _usual() -> dict[str, Any]:
    text = resources.files("sequencer.plan").joinpath("data/cautions.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
