"""What to renew on a job: what its parts ask for, and what experience adds."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from sequencer.graph.operations import Operation
from sequencer.graph.said import part_words
from sequencer.machine.facts.typical import TypicalJob
from sequencer.machine.model import Machine
from sequencer.plan.closing.supplies import by_experience, renewed_in


def renew_lines(
    machine: Machine,
    operations: Collection[Operation],
    taken_off: Iterable[str],
    jobs: Sequence[TypicalJob] = (),
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Two lists in words: what the parts ask for, and what experience adds that is not among that.

    Args:
        machine: The machine.
        operations: What is done, in its order.
        taken_off: The operations of the way in that it is about, by name.
        jobs: The jobs of the machine file that it is.
    """
    found = [(one.owner, item) for one in renewed_in(machine, operations, taken_off) for item in one.items]
    asked = [f"{item.count} × {item.item}" if item.count > 1 else item.item for _, item in found]
    known = [f"{item.item}/{part_words(machine, owner)}" for owner, item in found]
    return tuple(dict.fromkeys(asked)), tuple(words for words, _ in by_experience(jobs, known))
