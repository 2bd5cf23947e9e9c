"""The engine's door: a problem in, an order and a bound out."""

from __future__ import annotations

from collections.abc import Sequence

from sequencer.engine.conversation import ask
from sequencer.engine.problem import Limits, Problem, Progress, Result


def solve(
    problem: Problem,
    limits: Limits | None = None,
    progress: Progress | None = None,
    warm: Sequence[int] | None = None,
) -> Result:
    """Choose operations and order them at the least cost.

    The answer is the same for the same arguments, unless ``limits.seconds`` comes first. An interruption from
    the keyboard ends the search like a limit: the best order known is returned with its bound. To ask again
    with something changed, ``ask`` in the place of this remembers what helps.

    Args:
        problem: What is asked.
        limits: When to stop before the proof is complete.
        progress: Called with (best cost, bound) whenever either improves.
        warm: An order that may be a good start, for example a former answer; ignored where it isn't valid.

    Raises:
        ProblemError: The problem's numbers don't fit together.
        KeyboardInterrupt: Interrupted before any order was known.
    """
    return ask(problem, limits, progress, warm).result
