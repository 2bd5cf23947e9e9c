"""The torque gates of a reassembly by themselves, in closing order, each with the price of forgetting it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from sequencer.document.blocks import Block, Fields, Item, Items, Para, Title, Tone
from sequencer.document.plans.plan import aims_of
from sequencer.document.steps.toolbox import toolbox_rows, wrench_words
from sequencer.document.steps.torques import gate_words
from sequencer.document.words import duration, plural
from sequencer.graph.said import part_words, path_words
from sequencer.plan.onward.missed import Missed
from sequencer.plan.plan import Refit
from sequencer.wording import listing

if TYPE_CHECKING:
    from sequencer.plan.closing.toolbox import Equipment


def gates_document(
    plan: Refit,
    missed: Iterable[Missed],
    unit: str | None = None,
    kit: Equipment | None = None,
) -> Iterator[Block]:
    """Each gate as it is priced: when it is due, torque and wrench, what forgetting it would cost."""
    yield Title(plan.machine.name)
    yield Title(f"{aims_of(plan)}: the torque gates of the way back")
    if not plan.gates:
        yield Para("No joint of this job has a torque in the file.")
        return
    yield Para(
        f"{plural(len(plan.gates), 'gate')} in the order in which they close. The price is for finding one "
        "forgotten when all is back together: getting there, tightening it, and putting back."
    )
    if kit is not None:
        yield Fields(tuple(toolbox_rows(plan, kit).items()), apart=True)
    for one in missed:
        yield from _gate(plan, one, unit, kit)


def _gate(plan: Refit, one: Missed, unit: str | None, kit: Equipment | None) -> Iterator[Block]:
    gate = one.gate
    when = f"step {gate.step}"
    if gate.last_step is None:
        when += ", stays within reach"
    else:
        when += f", possible from step {gate.first_step}, closed off by step {gate.last_step}"
    yield Para(f"{path_words(plan.machine, gate.joint)}: {when}", Tone.STRONG, apart=True)
    lines = list(gate_words(plan, gate, unit))
    if kit is not None and (wrench := wrench_words(kit.wrenches[gate.joint], plan.machine)):
        lines.append(wrench)
    if gate.waits_for:
        lines.append(f"waits for {listing(part_words(plan.machine, other) for other in gate.waits_for)}")
    missing = f"missed: {'' if one.proven else 'at most '}{duration(one.seconds)}"
    if one.parts:
        missing += f", with {listing((part_words(plan.machine, p) for p in one.parts), 6)} moving again"
    yield Items(tuple(Item(line) for line in (*lines, missing)))
