"""The room's tables of trade knowledge: TOML files in ``data/``, whose headers teach their syntax."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def table(name: str) -> dict[str, Any]:
    """The table ``name``, for example ``kinds``; read once, never to be changed."""
    text = (files("sequencer.machine") / "data" / f"{name}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
