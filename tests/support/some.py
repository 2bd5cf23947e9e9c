"""A loop over nothing checks nothing, and would pass."""

from collections.abc import Iterable
from typing import TypeVar

T = TypeVar("T")


def some(things: Iterable[T]) -> list[T]:
    """The things to be checked, of which there has to be one."""
    found = list(things)
    assert found, "there is nothing to check here"
    return found
