"""What a file should say after a change, worked out on its data alone, and whether it does."""

from __future__ import annotations

import itertools
from typing import Any

from sequencer.machine.reader.merge import SHORT, in_full
from sequencer.machine.reader.yaml_tree import Path


def put_in(data: Any, path: Path, value: object, after: str | None = None) -> None:  # noqa: ANN401
    """Set ``value`` at ``path``; a new key goes behind the key ``after``, or last."""
    for step, following in itertools.pairwise(path):
        below: Any = data.get(step) if isinstance(data, dict) else data[step]
        short = isinstance(below, str | list) and step in SHORT and isinstance(following, str)
        if below is None or short:
            below = {} if below is None else in_full(str(step), below)
            data[step] = below
        data = below
    key = path[-1]
    if isinstance(data, dict) and key not in data and after in data:
        entries = list(data.items())
        number = list(data).index(after) + 1
        data.clear()
        data.update([*entries[:number], (key, value), *entries[number:]])
    else:
        data[key] = value


def take_out(data: Any, path: Path) -> None:  # noqa: ANN401
    """Remove what is at ``path``."""
    for step in path[:-1]:
        data = data[step]
    del data[path[-1]]


def same(one: object, other: object) -> bool:
    """Equal, keys in the same order; nothing, and a mapping without keys, say the same."""
    if isinstance(one, dict) and isinstance(other, dict):
        return list(one) == list(other) and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same, one, other))
    return one == other or (one in ({}, None) and other in ({}, None))
