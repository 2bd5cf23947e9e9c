"""Values as YAML text in the style of a machine file: a joint on one line in braces, what is long on more."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from sequencer.machine.model import Atom, Need, State

WIDTH = 110
"""Columns beyond which a line is broken where it can be."""

STEP = 2
"""Indentation of what is under a key, where the file does not show its own."""

NOTHING = ("", "~", "null", "Null", "NULL")
"""What means nothing, and not itself, where it is not in quotes."""
_BEGINS = re.compile(r"[^\W_]|[_/(+°§$][^\W]|[-.]\d")
_IN_BLOCK = re.compile(r":(\s|$)|\s#|\s$")
_IN_BRACKETS = re.compile(r"[,\[\]{}:]|\s#|\s$")
_BREAKS = re.compile("[\x7f-\x9f\u2028\u2029\ufeff]")


def plain(value: object) -> Any:  # noqa: ANN401, PLR0911 - a mapping, a list, a text or nothing; a kind each
    """A value as the reader would have it: texts, lists and mappings of texts, or ``None``.

    Raises:
        TypeError: A machine file has no way to write such a value.
    """
    if value is None or isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float | Fraction):
        return str(value)
    if isinstance(value, Need):
        atoms = [plain(atom) for atom in value.any_of]
        return atoms[0] if len(atoms) == 1 else {"any": atoms}
    if isinstance(value, Atom):
        whole = value.joint is not None or value.state is State.OFF
        return str(value) if whole else {value.part: value.state.word}
    if isinstance(value, Mapping):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, Sequence):
        return [plain(one) for one in value]
    raise TypeError(f"a machine file can't have a {type(value).__name__}")


def scalar(text: str | None, *, brackets: bool) -> str:
    """A text, in quotes where it would otherwise mean something else; nothing for ``None``.

    In ``brackets`` a comma ends a text and a colon makes a key of it, so that more must be quoted.
    """
    if text is None:
        return "~" if brackets else ""
    stops = _IN_BRACKETS if brackets else _IN_BLOCK
    if _BEGINS.match(text) and text.isprintable() and text not in NOTHING and not stops.search(text):
        return text
    quoted = json.dumps(text, ensure_ascii=False)
    return _BREAKS.sub(lambda found: f"\\u{ord(found[0]):04x}", quoted)


def flow(value: Any) -> str:  # noqa: ANN401 - as `plain` makes it
    """A value on one line."""
    if isinstance(value, dict):
        return "{" + ", ".join(entry(key, one) for key, one in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(flow(one) for one in value) + "]"
    return scalar(value, brackets=True)


def entry(key: str, value: Any) -> str:  # noqa: ANN401
    """A key and its value inside braces."""
    return f"{scalar(key, brackets=True)}: {flow(value)}"


def block(key: str, value: Any, column: int, *, spread: bool = False) -> list[str]:  # noqa: ANN401
    """A key and its value on lines of their own, indented by ``column``.

    ``spread`` puts what is in it on lines, too; so do ``joints``, and what would be too long for one line.
    """
    pad, name = " " * column, scalar(key, brackets=False)
    if not isinstance(value, dict | list):
        return [f"{pad}{name}: {scalar(value, brackets=False)}".rstrip()]
    line = f"{pad}{name}: {flow(value)}"
    if not value or not (spread or len(line) > WIDTH or (key == "joints" and isinstance(value, dict))):
        return [line]
    lines = [f"{pad}{name}:"]
    if isinstance(value, dict):
        for below, one in value.items():
            lines += block(below, one, column + STEP)
    else:
        lines += [f"{pad}{' ' * STEP}- {_item(one)}" for one in value]
    return lines


def _item(value: Any) -> str:  # noqa: ANN401
    return flow(value) if isinstance(value, dict | list) else scalar(value, brackets=value is None)


def comment_lines(comment: str, column: int) -> list[str]:
    """A comment above what it is about, one line for each of its own."""
    return [f"{' ' * column}# {line}".rstrip() for line in _clean(comment)]


def end_comment(comment: str) -> str | None:
    """A comment behind what it is about; ``None`` for one of several lines."""
    lines = _clean(comment)
    return f"  # {lines[0]}" if len(lines) == 1 else None


def _clean(comment: str) -> list[str]:
    """The lines of a comment without what can't be in a text."""
    return ["".join(c if c.isprintable() else " " for c in line).strip() for line in comment.splitlines()]
