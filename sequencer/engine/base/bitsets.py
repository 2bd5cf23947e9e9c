"""Sets of operations in machine words of 64 bits: for one set, and for batches of them as arrays."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    Words = list[np.ndarray]
    """One array for each 64 operations, one entry for each state."""

    Parts = list[tuple[int, np.uint64]]
    """The words of a set that hold anything, by number."""

WORD = 64
FULL = (1 << WORD) - 1


def needed(size: int) -> int:
    """How many words a set of so many operations takes; one at the least."""
    return max(1, -(-size // WORD))


def split(mask: int, words: int) -> list[int]:
    """A set in so many words."""
    return [mask >> (WORD * word) & FULL for word in range(words)]


def parts(mask: int) -> Parts:
    """The words of a set that hold anything, by number."""
    words = split(mask, needed(mask.bit_length()))
    return [(word, np.uint64(part)) for word, part in enumerate(words) if part]


def octets(words: Words) -> np.ndarray:
    """A batch of sets in bytes, one row for each, least first."""
    return np.ascontiguousarray(np.stack(words, axis=1), dtype="<u8").view(np.uint8)
