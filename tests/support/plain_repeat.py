"""What `repeat` says, written out by the format page, on plain dictionaries and without the program."""

from __future__ import annotations

import copy
from itertools import product
from typing import Any

SECTIONS = ("positions", "tools", "fluids", "tasks", "parts")
LISTS = ("behind", "trapped_by", "wet", "needs", "before", "back_before", "first", "with", "while", "any")

Values = dict[str, dict[str, Any]]


class Refused(Exception):  # noqa: N818 - it says what it means
    """A mark where the page has none."""


def written_out(text: dict[str, Any]) -> dict[str, Any]:
    """A file without `repeat`, mark by mark: first the names, then what is left in lists."""
    marks = {name: _values(given) for name, given in text.get("repeat", {}).items()}
    plain = copy.deepcopy({key: about for key, about in text.items() if key != "repeat"})
    for section in SECTIONS:
        if plain.get(section):
            plain[section] = _named(plain[section], marks)
    plain = _in_lists(plain, marks, "")
    for name in marks:
        if _has(plain, name):
            raise Refused(f"<{name}>")
    return plain


def _values(given: Any) -> Values:
    if isinstance(given, dict):
        return {str(value): own or {} for value, own in given.items()}
    return {str(value): {} for value in (given if isinstance(given, list) else [given])}


def _named(section: dict[str, Any], marks: dict[str, Values]) -> dict[str, Any]:
    """Every name of a section; what fewer marks say of one is laid over what more of them say."""
    texts: dict[str, list[tuple[int, Any]]] = {}
    order: list[tuple[int, str]] = []
    for name, about in section.items():
        inside = [mark for mark in marks if _has(name, mark)]
        for key, one in _all_of({name: about}, inside, marks):
            texts.setdefault(key, []).append((len(inside), one))
            order.append((len(inside), key))
    found: dict[str, Any] = {}
    for inside_it, key in order:
        of_it = sorted(texts[key], key=lambda text: -text[0])
        if inside_it < of_it[0][0]:
            continue
        if key in found:
            raise Refused(f"{key} twice")
        found[key] = of_it[0][1]
        for _, one in of_it[1:]:
            found[key] = over(found[key], one)
    return found


SAME = {"torque": "value", "crack": "while", "loose": "joints", "aside": "joints", "sealant": "kind"}


def over(below: Any, above: Any, key: str = "") -> Any:
    """What two texts for the same come to: key by key, lists and values whole, nothing takes away."""
    if key in SAME and isinstance(below, dict) and not isinstance(above, dict):
        above = {"stages" if key == "torque" and isinstance(above, list) else SAME[key]: above}
    if key in SAME and isinstance(above, dict) and not isinstance(below, dict):
        below = {"stages" if key == "torque" and isinstance(below, list) else SAME[key]: below}
    if not isinstance(below, dict) or not isinstance(above, dict):
        return above
    merged = {name: one for name, one in below.items() if name not in above}
    for name, one in above.items():
        if name not in below:
            merged[name] = one
        elif one is not None:
            merged[name] = over(below[name], one, name)
    if key == "torque" and "value" in above:
        merged.pop("stages", None)
    if key == "torque" and "stages" in above:
        merged.pop("value", None)
    return {name: merged[name] for name in (*below, *above) if name in merged}


def _all_of(thing: dict[str, Any], inside: list[str], marks: dict[str, Values]) -> list[tuple[str, Any]]:
    """The one key of `thing` with what it has, for all the values of these marks."""
    found = []
    for values in product(*(marks[mark] for mark in inside)):
        one: Any = thing
        for mark, value in zip(inside, values, strict=True):
            one = _put(one, mark, value, marks[mark][value])
        found += one.items()
    return found


def _put(thing: Any, mark: str, value: str, own: dict[str, Any]) -> Any:
    """`thing` with one value for one mark, everywhere in it."""
    if isinstance(thing, dict):
        return {_put(key, mark, value, own): _put(one, mark, value, own) for key, one in thing.items()}
    if isinstance(thing, list):
        return [_put(one, mark, value, own) for one in thing]
    if not isinstance(thing, str):
        return thing
    for key, entry in own.items():
        if thing == f"<{mark}.{key}>":
            return entry
        thing = thing.replace(f"<{mark}.{key}>", str(entry))
    if f"<{mark}." in thing:
        raise Refused(thing)
    return thing.replace(f"<{mark}>", value)


def _has(thing: Any, mark: str) -> bool:
    return f"<{mark}>" in repr(thing) or f"<{mark}." in repr(thing)


def _in_lists(thing: Any, marks: dict[str, Values], key: str) -> Any:
    if isinstance(thing, str) and key in LISTS and any(_has(thing, mark) for mark in marks):
        thing = [thing]
    if isinstance(thing, dict):
        return {name: _in_lists(one, marks, name) for name, one in thing.items()}
    if not isinstance(thing, list):
        return thing
    found: list[Any] = []
    for item in thing:
        if isinstance(item, dict) and list(item) == ["any"]:
            found.append(_in_lists(item, marks, key))
            continue
        included = key == "include" and isinstance(item, dict) and "as" in item
        inside = [mark for mark in marks if _has(item["as"] if included else item, mark)]
        ones = [one for _, one in _all_of({"": item}, inside, marks)]
        ones = [_in_lists(one, marks, "") for one in ones] if included else ones
        found += [one for number, one in enumerate(ones) if not inside or one not in ones[:number]]
    return found
