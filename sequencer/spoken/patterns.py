"""The words of a line (``data/lines.toml``), compiled once."""

from __future__ import annotations

import re
import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

from sequencer.machine.heard.tokens import any_of


@cache
def lines() -> dict[str, Any]:
    """The table; read once, never to be changed."""
    text = (files("sequencer.spoken") / "data" / "lines.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def pattern(*path: str) -> re.Pattern[str]:
    """The pattern that stands there: a string, or a list of which any may match."""
    found: Any = lines()
    for key in path:
        found = found[key]
    if isinstance(found, list):
        found = "|".join(f"(?:{one})" for one in found)
    return re.compile(found)


@cache
def patterns(*path: str) -> tuple[re.Pattern[str], ...]:
    """A list of patterns, each by itself."""
    found: Any = lines()
    for key in path:
        found = found[key]
    return tuple(re.compile(one) for one in found)


@cache
def word_pattern(*path: str) -> re.Pattern[str]:
    """Any of a list of plain words, as whole words."""
    found: Any = lines()
    for key in path:
        found = found[key]
    return re.compile(rf"\b(?:{any_of(found)})\b")
