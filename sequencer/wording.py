"""How words are put side by side, in every room: names in a list, the first letter of a sentence.

Names go in and a piece of a sentence comes out; no sentence is ever taken apart again.
"""

from __future__ import annotations

from collections.abc import Iterable


def listing(items: Iterable[str], most: int | None = None, *, between: str = ", ") -> str:
    """``a, b, c``; or ``a, b and 3 more``, where there are at least two over ``most``."""
    names = list(items)
    if most is not None and len(names) > most + 1:
        return between.join(names[:most]) + and_more(len(names) - most)
    return between.join(names)


def and_more(left: int) -> str:
    """`` and 3 more``, after what is named; nothing where none is left."""
    return f" and {left} more" if left > 0 else ""


def joined(items: Iterable[str], last: str = "and") -> str:
    """As a sentence has them: ``a, b and c``."""
    *first, end = list(items) or [""]
    return f"{', '.join(first)} {last} {end}" if first else end


def capital(text: str) -> str:
    """With its first letter as at the head of a sentence."""
    return text[:1].upper() + text[1:]


def small(label: str) -> str:
    """A label inside a sentence; ``ABS sensor`` stays as it is."""
    return label if label[1:2].isupper() else label[:1].lower() + label[1:]


def clause(text: str) -> str:
    """A text of the file or of a table as part of a sentence: without the full stop that it may end in."""
    return text.rstrip(".")
