"""The table of how real hours lie about the times that a plan counts."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from typing import Any


@cache
def hours_table() -> dict[str, Any]:
    """What the data file says: its header explains the keys."""
    text = resources.files("sequencer.plan").joinpath("data/hours.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
