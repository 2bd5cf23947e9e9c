"""The format page's tasks of `only: back`, read anew: what calls for them, and what they need beforehand."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any


def home_tasks(text: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {n: about for n, about in (text.get("tasks") or {}).items() if (about or {}).get("only") == "back"}


def parts_behind(text: dict[str, Any], task: str) -> list[Any]:
    """The entries of `behind` that are of parts; the others name fluids and tasks."""
    return [one for one in home_tasks(text)[task].get("behind") or [] if not _fluid_or_task(text, one)]


def named_behind(text: dict[str, Any], task: str, section: str) -> list[str]:
    """The fluids or the tasks that a task is behind."""
    behind = home_tasks(text)[task].get("behind") or []
    return [one for one in behind if _fluid_or_task(text, one) and one in (text.get(section) or {})]


def _fluid_or_task(text: dict[str, Any], one: Any) -> bool:
    if not isinstance(one, str) or one in text["parts"]:
        return False
    return one in (text.get("fluids") or {}) or one in text["tasks"]


def mentioned(items: Iterable[Any]) -> set[str]:
    """The parts and joints that stand in a list, in whatever way."""
    found: set[str] = set()
    for item in items:
        if isinstance(item, str):
            found.add(item)
        else:
            for key, value in item.items():
                found |= mentioned(value) if key == "any" else {key}
    return found


def called(text: dict[str, Any], done: Iterable[str]) -> set[str]:
    """The tasks of the way back that a job calls for which did these operations."""
    tasks = home_tasks(text)
    found: set[str] = set()
    while True:
        new = {name for name in tasks if name not in found and _touched(text, name, set(done), found)}
        new |= {n for task in found | new for n in tasks[task].get("after") or [] if n in tasks} - found
        if not new:
            return found
        found |= new


def _touched(text: dict[str, Any], task: str, done: set[str], others: set[str]) -> bool:
    if any(f"drain {fluid}" in done for fluid in named_behind(text, task, "fluids")):
        return True
    if any(f"task {n}" in done or n in others for n in named_behind(text, task, "tasks")):
        return True
    things = mentioned([*parts_behind(text, task), *(home_tasks(text)[task].get("back_before") or [])])
    return any(touches(text, name, thing) for name in done for thing in things)


def touches(text: dict[str, Any], operation: str, thing: str) -> bool:
    """Whether an operation is one on a part or joint, or takes a part along."""
    kind, _, subject = operation.partition(" ")
    if kind in ("task", "drain"):
        return False
    rides = (text["parts"].get(thing) or {}).get("rides")
    if rides and touches(text, operation, rides["on"]) and kind == "remove":
        return True
    return subject == thing or ("/" not in thing and subject.partition("/")[0] == thing)
