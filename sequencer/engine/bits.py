"""Sets of operations as Python integers: bit i stands for operation i."""

from __future__ import annotations

from collections.abc import Iterable, Iterator


def mask_of(numbers: Iterable[int]) -> int:
    """The set that holds ``numbers``."""
    mask = 0
    for number in numbers:
        mask |= 1 << number
    return mask


def members(mask: int) -> Iterator[int]:
    """The numbers in a set, least first."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low
