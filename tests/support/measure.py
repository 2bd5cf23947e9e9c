"""How work grows, measured side by side in one run: no test here knows how fast its machine is."""

import gc
import time
from collections.abc import Callable


def cost(work: Callable[[], object], times: int = 3) -> float:
    """Return the processor's seconds that ``work`` takes: the best of a few runs, garbage left lying.

    The processor's seconds, and not the wall's: other work on the machine is none of the test's.
    """
    gc.collect()
    gc.disable()
    took = []
    try:
        for _ in range(times):
            began = time.process_time()
            work()
            took.append(time.process_time() - began)
    finally:
        gc.enable()
    return min(took)


def growth(small: Callable[[], object], large: Callable[[], object], times: int = 3) -> float:
    """Return how many times as long ``large`` takes as ``small``, for the ratio of their sizes."""
    return cost(large, times) / cost(small, times)
