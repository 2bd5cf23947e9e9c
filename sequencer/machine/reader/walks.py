"""Walks between positions: read, checked, and made to hold both ways."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from sequencer.machine.faults import quote
from sequencer.machine.reader.scope import Scope
from sequencer.machine.reader.yaml_tree import BROKEN, Path
from sequencer.machine.schema.fields import kind_of
from sequencer.quantities import QuantityError, parse_seconds


def check_walks(scope: Scope) -> None:
    """Note what is wrong with the walks."""
    seen: dict[frozenset[str], tuple[Fraction, int]] = {}
    for path, raw in _entries(scope.entry.walks):
        if not _is_walk(scope, raw, path):
            continue
        known = [scope.knows("positions", name, (*path, end)) for end, name in enumerate(raw[:2])]
        if raw[0] == raw[1]:
            scope.error(path, f"this walk begins and ends at `{quote(raw[0])}`", "name two positions")
            continue
        try:
            seconds = parse_seconds(raw[2])
        except QuantityError as why:
            scope.error((*path, 2), why.problem, why.remedy)
            continue
        pair = frozenset(raw[:2])
        if all(known) and pair in seen:
            before, line = seen[pair]
            say = scope.warning if before == seconds else scope.error
            also = "" if before == seconds else ", with another time"
            say(
                path,
                f"this walk is there already, in line {line}{also}",
                "keep one of them; a walk holds both ways",
            )
        seen.setdefault(pair, (seconds, scope.place(path).line))


def _entries(raw: list[Any] | None) -> Iterator[tuple[Path, Any]]:
    """Each walk with its path; one alone may stand without the outer brackets."""
    walks = raw or []
    if len(walks) == 3 and all(isinstance(one, str) for one in walks):
        yield ("walks",), walks
        return
    for number, one in enumerate(walks):
        if one is not BROKEN:
            yield ("walks", number), one


def _is_walk(scope: Scope, raw: object, path: Path) -> bool:
    if isinstance(raw, list) and len(raw) == 3 and all(isinstance(one, str) for one in raw):
        return True
    if isinstance(raw, list) and BROKEN in raw:
        return False
    what = f"a list of {len(raw)}" if isinstance(raw, list) else kind_of(raw)
    scope.error(path, f"a walk is two positions and a time, and this is {what}", "write [bench, under, 15 s]")
    return False


def walk_seconds(raw: list[Any] | None) -> dict[tuple[str, str], Fraction]:
    """The walks of a file without faults, both ways."""
    walks = {}
    for _, (start, end, time) in _entries(raw):
        walks[start, end] = walks[end, start] = parse_seconds(time)
    return walks
