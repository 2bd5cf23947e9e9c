"""What the body of an event has to hold so that the state can be replayed from it.

A key means the same in every kind. Keys that are not here hold what nothing is computed from.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

_NEEDED = {
    "done": ("ops",),
    "skipped": ("ops",),
    "undone": ("event",),
    "looked": ("part", "by"),
    "note": ("text",),
    "photo": ("file",),
    "measured": ("op",),
    "changed": ("steps",),
    "machine": ("text", "file"),
    "unknown": ("kind", "why"),
}
_CHANGES = ("add", "entry", "before", "instead", "set")


def fault(kind: str, body: object) -> str | None:
    """What is wrong with the body of an event of this kind, in words; None where nothing is."""
    if not isinstance(body, Mapping):
        return "its body has no keys"
    missing = next((key for key in _NEEDED.get(kind, ()) if body.get(key) is None), None)
    if missing is not None:
        return f"`{missing}` is missing"
    if kind == "evening" and body.get("until") is None and body.get("seconds") is None:
        return "`until` is missing"
    for key, (holds, words) in _KEYS.items():
        if body.get(key) is not None and not holds(body[key]):
            return f"`{key}` is not {words}"
    return None


def _is_text(value: object) -> bool:
    return isinstance(value, str)


def _is_flag(value: object) -> bool:
    return isinstance(value, bool)


def _are_texts(value: object) -> bool:
    return isinstance(value, list | tuple) and all(isinstance(one, str) for one in value)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _is_time(value: object) -> bool:
    try:
        return datetime.fromisoformat(str(value)).tzinfo is not None
    except ValueError:
        return False


def _are_numbers(value: object) -> bool:
    return isinstance(value, list | tuple) and all(isinstance(one, int) for one in value)


def _are_steps(value: object) -> bool:
    return isinstance(value, list | tuple) and all(map(_is_step, value))


def _is_step(value: object) -> bool:
    if not isinstance(value, list | tuple) or len(value) != 2:
        return False
    number, op = value
    return isinstance(number, int) and not isinstance(number, bool) and number > 0 and isinstance(op, str)


def _are_edits(value: object) -> bool:
    return isinstance(value, list | tuple) and all(map(_is_edit, value))


def _is_edit(value: object) -> bool:
    if not isinstance(value, list | tuple) or len(value) != 4 or value[0] not in _CHANGES:
        return False
    path = value[1]
    return isinstance(path, list | tuple) and bool(path) and all(isinstance(one, str | int) for one in path)


def _are_lists_of_texts(value: object) -> bool:
    return isinstance(value, list | tuple) and all(one and _are_texts(one) for one in value)


def _are_numbered(value: object) -> bool:
    return isinstance(value, Mapping) and all(map(_is_number, value.values()))


def _are_marked(value: object) -> bool:
    return isinstance(value, Mapping) and all(map(_is_text, value.values()))


def _is_question(value: object) -> bool:
    return isinstance(value, Mapping) and _is_text(value.get("about")) and _is_text(value.get("text"))


_TEXT = (
    "by_hand",
    "figure",
    "op",
    "event",
    "with",
    "text",
    "why",
    "anyway",
    "file",
    "direction",
    "joint",
    "way",
    "ahead",
    "amends",
    "safe",
)
_READ = ("torque", "angle", "wear", "asked", "wrench", "caution", "problem")
_TOLD = ("what", "back", "part", "by", "showed")
_TEXTS = (
    "parts",
    "joints",
    "fasteners",
    "ops",
    "prepared",
    "gates",
    "off",
    "reach",
    "owed",
    "anew",
    "new",
    "dropped",
    "answered",
    "moved",
    "left",
    "remarks",
)
_KEYS: Mapping[str, tuple[Callable[[Any], bool], str]] = {
    **dict.fromkeys((*_TEXT, *_READ, *_TOLD), (_is_text, "a text")),
    **dict.fromkeys(_TEXTS, (_are_texts, "a list of texts")),
    **dict.fromkeys(("seconds", "saving", "wait", "chance"), (_is_number, "a number")),
    "until": (_is_time, "a time with its zone"),
    "stages": (_are_numbers, "a list of numbers"),
    "steps": (_are_steps, "a list of pairs: number, operation"),
    "edits": (_are_edits, "a list of changes"),
    **dict.fromkeys(("told", "unplaced"), (_are_lists_of_texts, "a list of what was said")),
    "bags": (_are_numbered, "numbers by joint"),
    "marks": (_are_marked, "marks by joint"),
    "asks": (_is_question, "a question"),
    "late": (_is_flag, "true or false"),
    "in_words": (_is_flag, "true or false"),
}
