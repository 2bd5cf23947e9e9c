"""How deep each part of a machine lies: what can be reached at once, what is behind that, and so on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from sequencer.machine.reader.items import read_item
from sequencer.machine.trade.relations import JOINT, PART, relations

_OF_PART = tuple(one.key for one in relations(PART))
_OF_JOINT = tuple(one.key for one in relations(JOINT))


def layers(parts: Mapping[str, Any]) -> tuple[tuple[str, ...], ...]:
    """The names of ``parts``, as a file has them, by how many others lie over them; the outermost first.

    A part lies one deeper than the deepest of what it or one of its joints waits for; of several that will
    do, the one that lies least deep. What waits for itself in a circle counts as if it did not.
    """
    waits = {name: [*_waits(name, about, parts)] for name, about in parts.items()}
    depths: dict[str, int] = {}
    for name in parts:
        _measure(name, waits, depths, [])
    deepest = max(depths.values(), default=-1)
    found = ([name for name in parts if depths[name] == depth] for depth in range(deepest + 1))
    return tuple(tuple(names) for names in found if names)


def _measure(name: str, waits: Mapping[str, list[set[str]]], depths: dict[str, int], chain: list[str]) -> int:
    if name in depths:
        return depths[name]
    chain = [*chain, name]
    over = [
        min((_measure(one, waits, depths, chain) for one in sorted(group) if one not in chain), default=-1)
        for group in waits[name]
    ]
    depth = 1 + max(over, default=-1)
    if len(chain) == 1 or not any(one in chain[:-1] for group in waits[name] for one in group):
        depths[name] = depth  # within a circle it is only so deep on this way round
    return depth


def _waits(name: str, about: Any, parts: Mapping[str, Any]) -> Iterator[set[str]]:  # noqa: ANN401 - from a file
    """For each thing that a part waits for, the parts any one of which meets it."""
    of_part = about if isinstance(about, dict) else {}
    joints = of_part.get("joints")
    entries = [(of_part, _OF_PART)]
    if isinstance(joints, dict):
        entries += [(joint, _OF_JOINT) for joint in joints.values() if isinstance(joint, dict)]
    for entry, keys in entries:
        for key in keys:
            raw = entry.get(key)
            for one in raw if isinstance(raw, list) else [] if raw is None else [raw]:
                group = {spotted.atom.part for spotted in read_item(one, ()).atoms}
                if group and name not in group and group <= parts.keys():
                    yield group
