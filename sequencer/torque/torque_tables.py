"""The room's tables of trade knowledge: TOML files in ``data``, whose headers teach their syntax."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def table(name: str) -> dict[str, Any]:
    """The table ``name``, for example ``threads``; read once, never to be changed."""
    text = (files("sequencer.torque") / "data" / f"{name}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def by_word(name: str) -> dict[str, str]:
    """Each way to write an entry of the table ``name``, in lower case, and the entry that it means."""
    words = {}
    for entry, data in table(name).items():
        for word in (entry, *data["words"]):
            words[word.casefold()] = entry
    return words
