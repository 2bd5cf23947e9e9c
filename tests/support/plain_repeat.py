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
    found: dict[str, Any] = {}
    for name, about in section.items():
        for key, one in _all_of({name: about}, [mark for mark in marks if _has(name, mark)], marks):
            if key in found:
                raise Refused(f"{key} twice")
            found[key] = one
    return found


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
        inside = [mark for mark in marks if _has(item, mark)]
        ones = [one for _, one in _all_of({"": item}, inside, marks)]
        found += [one for number, one in enumerate(ones) if not inside or one not in ones[:number]]
    return found
