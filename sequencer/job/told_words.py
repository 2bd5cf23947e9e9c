"""The words by which what a person tells at a job is sorted; the head of ``data/told.toml`` explains them."""

import re
import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def words() -> dict[str, Any]:
    """All of them, by the key of the file."""
    return tomllib.loads((files("sequencer.job") / "data" / "told.toml").read_text(encoding="utf-8"))


def raises(label: str) -> bool:
    """Whether a task of this name raises the whole machine: all that comes after may have needed it."""
    return re.search(words()["raised"], label.casefold()) is not None


def holds(label: str) -> bool:
    """Whether a task of this name carries, locks or isolates what is taken apart."""
    return re.search(words()["holding"], label.casefold()) is not None


def isolates_all(label: str) -> bool:
    """Whether a task of this name takes the power off the whole machine."""
    return re.search(words()["isolating"], label.casefold().strip(" .")) is not None
