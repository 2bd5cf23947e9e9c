"""How far out each thing stands: a level more than everything that it is in the way of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from sequencer.document.barring.things import Barring, Boxed, Standing


def edges(things: Mapping[str, Boxed]) -> Iterator[tuple[str, str]]:
    """What is waited for, and what waits for it; both drawn, and not the same."""
    for key, thing in things.items():
        for _, ask in thing.waits():
            for way in ask.ways:
                if way.thing in things and way.thing != key:
                    yield way.thing, key


def done_before(picture: Barring) -> dict[str, int]:
    """A rank for each thing, what comes off first lowest: by the plan, or else as far as the file allows.

    Two things may wait for each other by different joints; so not every arrow need lead to a higher rank.
    """
    things = picture.things
    if picture.numbered:
        by_plan = sorted(things, key=lambda key: (things[key].look is Standing.AIM, things[key].last))
        return {key: place for place, key in enumerate(by_plan)}
    sources: dict[str, set[str]] = {key: set() for key in things}
    for source, waiting in edges(things):
        sources[waiting].add(source)
    rank: dict[str, int] = {}
    left = dict.fromkeys(things)
    while left:
        key = min(left, key=lambda one: len(sources[one] & left.keys()))  # the first of the file among equals
        rank[key] = len(rank)
        del left[key]
    return rank


def levels(picture: Barring) -> list[list[str]]:
    """The things by their level, the aim's first; in each those that come off last on top."""
    rank = done_before(picture)
    outer: dict[str, set[str]] = {key: set() for key in picture.things}
    for pair in edges(picture.things):
        later, earlier = sorted(pair, key=rank.__getitem__, reverse=True)
        outer[later].add(earlier)
    level = dict.fromkeys(picture.things, 0)
    for key in sorted(picture.things, key=rank.__getitem__, reverse=True):
        if picture.numbered and picture.things[key].look is not Standing.AIM:
            level[key] = max(level[key], 1)
        for other in outer[key]:
            level[other] = max(level[other], level[key] + 1)
    found: list[list[str]] = [[] for _ in range(max(level.values(), default=0) + 1)]
    for key in sorted(picture.things, key=rank.__getitem__, reverse=True):
        found[level[key]].append(key)
    return [level for level in found if level]


def pieces(tall: list[float], most: float, gap: float) -> list[list[int]]:
    """Places of a column's boxes, in as many columns as it takes, about equally full."""
    whole = sum(tall) + gap * len(tall)
    count = max(1, -(-int(whole) // int(most)))
    while True:
        goal, full = whole / count, 0.0
        found: list[list[int]] = [[]]
        for place, one in enumerate(tall):
            over = full + one > most or (full + one / 2 > goal and len(found) < count)
            if found[-1] and over:
                found.append([])
                full = 0.0
            found[-1].append(place)
            full += one + gap
        if len(found) <= count:
            return [column for column in found if column]
        count += 1
