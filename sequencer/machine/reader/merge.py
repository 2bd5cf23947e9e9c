"""One text laid over another, key by key: what is said of one of several beside what is said of all."""

from __future__ import annotations

from typing import Any

from sequencer.machine.reader.yaml_tree import Path, Tree

SHORT = {"loose": "joints", "aside": "joints", "crack": "while", "torque": "value", "sealant": "kind"}
"""Keys that can be written short, and the key that the short value stands for."""


def in_full(key: str | int, short: object) -> object:
    """A value that was written short, as the mapping that it stands for; any other as it is."""
    if key not in SHORT or isinstance(short, dict):
        return short
    if short is None or (key in ("loose", "aside") and str(short).casefold() in ("yes", "true")):
        return {}
    return {"stages" if key == "torque" and isinstance(short, list) else SHORT[str(key)]: short}


def laid_over(base: Any, over: Any, tree: Tree, path: Path, other: Tree, source: Path) -> Any:  # noqa: ANN401
    """``base`` with what ``over`` says: mappings key by key, all else in its place; nothing takes a key away.

    What can be written short counts as written in full where only one of the two is.

    Args:
        base: What ``tree`` has at ``path``.
        over: What ``other`` has at ``source``.
        tree: Is told where what comes out is written.
        path: Where that goes.
        other: Knows where ``over`` is written.
        source: And under which path.
    """
    short = not isinstance(over, dict)
    if isinstance(base, dict) == short and path:
        base, over = in_full(path[-1], base), in_full(path[-1], over)
    if not isinstance(base, dict) or not isinstance(over, dict):
        return tree.take_all(other, source, path, over)
    result = dict(base)
    for key, one in over.items():
        there = (*path, key), other, source if short else (*source, key)
        if key not in base:
            result[key] = tree.take_all(other, there[2], there[0], one)
        elif one is None:
            del result[key]
        else:
            result[key] = laid_over(base[key], one, tree, *there)
    if path and path[-1] == "torque":
        _one_way_of_tightening(result, over)
    return result


def _one_way_of_tightening(torque: dict[str, Any], over: dict[str, Any]) -> None:
    """A torque is one value or several stages: the later word counts."""
    for key, former in (("value", "stages"), ("stages", "value")):
        if over.get(key) is not None and former not in over:
            torque.pop(former, None)


def difference(base: Any, wanted: Any, key: str | int = "") -> Any:  # noqa: ANN401 - as a file has it
    """The least that says ``wanted`` when it is laid over ``base``; both are the value of ``key``."""
    full = in_full(key, wanted) if isinstance(base, dict) else wanted
    if not isinstance(base, dict) or not isinstance(full, dict):
        return wanted
    changed = {
        step: difference(base[step], one, step) if step in base else one
        for step, one in full.items()
        if step not in base or base[step] != one
    }
    return changed | {step: None for step in base if step not in full}
