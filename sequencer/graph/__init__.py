"""Operations and what each waits for: derived from a machine, narrowed to a target, explained when stuck."""

from sequencer.graph.derive import clause_for, derive
from sequencer.graph.explain import UnreachableError, explain_conflict, narrowed
from sequencer.graph.operations import (
    Because,
    Clause,
    CrackRule,
    Kind,
    Operation,
    OperationGraph,
    OrderRule,
    Reason,
    Slackening,
)
from sequencer.graph.targets import Target, goals, parse_targets

__all__ = [
    "Because", "Clause", "CrackRule", "Kind", "Operation", "OperationGraph", "OrderRule", "Reason",
    "Slackening", "Target", "UnreachableError", "clause_for", "derive", "explain_conflict", "goals",
    "narrowed", "parse_targets",
]  # fmt: skip
