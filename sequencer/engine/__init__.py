"""Pure optimisation: which operations to do and in which order, proven or with an honest bound.

Arrays in, order and bound out; no word of machines. ``solve`` is the door; the words of its question and its
answer are in ``problem``.
"""

from sequencer.engine.errors import ProblemError
from sequencer.engine.problem import (
    Clause,
    Counters,
    Limits,
    Problem,
    Progress,
    Result,
    Saving,
    Status,
    Trigger,
)
from sequencer.engine.solve import solve

__all__ = [
    "Clause",
    "Counters",
    "Limits",
    "Problem",
    "ProblemError",
    "Progress",
    "Result",
    "Saving",
    "Status",
    "Trigger",
    "solve",
]
