"""What a step frees, in few words: whole parts before single joints."""

from __future__ import annotations

from sequencer.document.words import joint_words, listing, part_words, sentence
from sequencer.graph.operations import REACHES, Operation
from sequencer.plan.plan import Step, Teardown

MOST = 3
"""Things named at one step; the rest is counted."""


def frees(plan: Teardown, step: Step) -> str:
    """``frees the belt; opens Alternator: lower bolt``; empty when the step opens nothing."""
    by_name = {op.name: op for op in plan.operations}
    opened = [by_name[name] for name in step.opens]
    free = [op for op in opened if op.kind in REACHES]
    reach = [op for op in opened if op.kind not in REACHES]
    words = []
    if free:
        names = dict.fromkeys(part_words(plan.machine, op.part) for op in free if op.part)
        words.append(f"frees {listing(names, MOST)}")
    if reach:
        words.append(f"opens {listing(_reachable(plan, reach), MOST)}")
    return "; ".join(words)


def _reachable(plan: Teardown, operations: list[Operation]) -> list[str]:
    """A part whose every joint in the plan is opened at once goes by its own name."""
    machine = plan.machine
    names: dict[str, None] = {}
    for operation in operations:
        if operation.part is None or operation.joint is None:
            names[sentence(machine, operation, volume=False)] = None
            continue
        here = {op.joint for op in operations if op.part == operation.part}
        all_of_it = {op.joint for op in plan.operations if op.part == operation.part and op.joint}
        whole = len(all_of_it) > 1 and here == all_of_it
        names[
            part_words(machine, operation.part)
            if whole
            else joint_words(machine, operation.part, operation.joint)
        ] = None
    return list(names)
