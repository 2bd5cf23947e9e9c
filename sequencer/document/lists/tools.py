"""The tool list: what to lay out in the order of need, and on top of it what is missing from the toolbox."""

from __future__ import annotations

from dataclasses import dataclass

from sequencer.document.lists.rows import Listing
from sequencer.document.plans.both_ways import PaperJob, at_step, first_needed
from sequencer.document.steps.outfit import outfit
from sequencer.document.steps.toolbox import toolbox_rows
from sequencer.document.words import tool_words
from sequencer.graph.fastening import TORQUE_DRIVE, tools_in
from sequencer.graph.operations import Operation
from sequencer.graph.said import part_words, sentence
from sequencer.machine.model import Machine
from sequencer.plan.plan import Plan
from sequencer.wording import listing

HEADS = ("Tool", "First at", "Steps", "For", "In the toolbox")


@dataclass(frozen=True)
class ToolNeed:
    """A tool that a job needs.

    Attributes:
        tool: Its name; of a torque wrench what goes on it is a tool of its own.
        label: What people call it.
        plan: The way on which it is needed first, and at which ``step``.
        steps: At how many steps of both ways.
        uses: The parts and tasks that it is needed for.
        owned: Whether the toolbox has it; None where no toolbox is named, or where it says nothing of it.
    """

    tool: str
    label: str
    plan: Plan
    step: int
    steps: int
    uses: tuple[str, ...]
    owned: bool | None


def tools_needed(job: PaperJob) -> tuple[ToolNeed, ...]:
    """The tools, those missing first, each group in the order of need."""
    kits = [kit for kit in (job.kit_in, job.kit_back) if kit is not None]
    lacking = {tool for kit in kits for tool in kit.missing}
    found = []
    for tool, (plan, step) in first_needed(job.ways).items():
        uses = [op for way in job.ways for op in way.operations if tool in tools_in(op.tool)]
        words = tuple(dict.fromkeys(_use(job.machine, op) for op in uses))
        owned = None if not kits or tool == TORQUE_DRIVE else tool not in lacking
        found.append(ToolNeed(tool, tool_words(job.machine, tool), plan, step, len(uses), words, owned))
    return tuple(sorted(found, key=lambda need: need.owned is not False))


def _use(machine: Machine, op: Operation) -> str:
    return part_words(machine, op.part) if op.part else sentence(machine, op, volume=False)


def tools_list(job: PaperJob) -> Listing:
    """The tool list in words."""
    needed = tools_needed(job)
    owned = {True: "yes", False: "MISSING", None: ""}
    rows = [
        (
            need.label,
            at_step(job, need.plan, need.step),
            str(need.steps),
            listing(need.uses, 3),
            owned[need.owned],
        )
        for need in needed
    ]
    notes = [f"Also: {listing(beside)}"] if (beside := outfit(job.ways)) else []
    plan, kit = (job.back, job.kit_back) if job.back is not None else (job.into, job.kit_in)
    if kit is not None:
        notes += [f"{word}: {text}" for word, text in toolbox_rows(plan, kit).items()]
    missing = frozenset(n for n, need in enumerate(needed) if need.owned is False)
    return Listing(f"Tools for {job.name}", HEADS, tuple(rows), missing, frozenset({2}), tuple(notes))
