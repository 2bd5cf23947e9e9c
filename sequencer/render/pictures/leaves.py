"""A diagram cut into pages that can be read: by position, or by sitting; each says where the rest stands."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sequencer.plan.evenings.sittings import Sitting
from sequencer.render.pictures.drawing import Drawing, Extract, PlacedPart

ABOUT = 40
"""Boxes on a page that can still be followed with a finger. Common practice."""

SOME_MORE = 8
"""So many more are let stand on a page of so many: one that is whole is worth a few more boxes."""


def _with_some_more(most: int) -> int:
    return most + most * SOME_MORE // ABOUT


def by_position(drawing: Drawing, most: int = ABOUT) -> list[Extract]:
    """The drawing in as few pages as it takes, positions kept together; empty where one page holds it all."""
    boxes = drawing.by_key()
    if len(boxes) <= _with_some_more(most):
        return []
    places: dict[str, list[str]] = {}
    for key in sorted(boxes, key=lambda key: _first(drawing, boxes[key])):
        places.setdefault(boxes[key].position, []).append(key)
    pages = _filled(list(places.values()), most)
    named = [(f"page {number} of {len(pages)}", keys) for number, keys in enumerate(pages, start=1)]
    steps = drawing.plan.steps if drawing.plan is not None else ()
    told: set[str] = set()
    work = []
    for keys in pages:
        here = {boxes[key].position for key in keys} - told
        told |= here
        work.append(frozenset(step.number for step in steps if step.operation.position in here))
    return _extracts(drawing, named, work)


def by_sitting(
    drawing: Drawing, sittings: Sequence[Sitting], most: int = ABOUT, only: int | None = None
) -> list[Extract]:
    """A page for each sitting, with the boxes in which one of its steps stands; several if that is much.

    ``only`` leaves out the pages of all the other sittings.
    """
    boxes = drawing.by_key()
    named: list[tuple[str, list[str]]] = []
    work: list[frozenset[int]] = []
    for number, sitting in enumerate(sittings, start=1):
        wanted = frozenset(step.number for step in sitting.steps)
        keys = [key for key, box in boxes.items() if wanted.intersection(drawing.steps_of(box))]
        keys.sort(key=lambda key: _first(drawing, boxes[key]))
        leaves = _filled([keys], most) if len(keys) > _with_some_more(most) else [keys]
        for leaf, part in enumerate(leaves, start=1):
            named.append((f"sitting {number}" + (f", page {leaf}" if len(leaves) > 1 else ""), part))
            work.append(wanted if leaf == 1 else frozenset())
    pages = _extracts(drawing, named, work)
    mine = (f"sitting {only}", f"sitting {only},")
    return [
        page
        for page, (name, _) in zip(pages, named, strict=True)
        if only is None or name == mine[0] or name.startswith(mine[1])
    ]


def _filled(groups: Iterable[Sequence[str]], most: int) -> list[list[str]]:
    """Groups on pages of ``most`` at the most, a group kept together where it fits on one."""
    pages: list[list[str]] = []
    for group in groups:
        count = -(-len(group) // most)
        size = -(-len(group) // max(1, count))
        pieces = [list(group[start : start + size]) for start in range(0, len(group), size)]
        for piece in pieces:
            if pages and len(pages[-1]) + len(piece) <= most:
                pages[-1] += piece
            else:
                pages.append(piece)
    return pages


def _first(drawing: Drawing, box: PlacedPart) -> int:
    """When a box is first worked at; after all others where nothing in it is."""
    return min(drawing.steps_of(box), default=10**6)


def _extracts(
    drawing: Drawing, named: Sequence[tuple[str, Sequence[str]]], work: Sequence[frozenset[int]]
) -> list[Extract]:
    where: dict[str, str] = {}
    for name, keys in named:
        for key in keys:
            where.setdefault(key, name.partition(" of ")[0])
    return [
        Extract(f"{drawing.title()}, {name}", frozenset(keys), steps, where)
        for (name, keys), steps in zip(named, work, strict=True)
    ]
