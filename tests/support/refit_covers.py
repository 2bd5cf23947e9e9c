"""What goes on over what on the way back, read from the format page: what may have to follow a step."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from tests.support.home_tasks import mentioned, parts_behind
from tests.support.plain_machine import carriers, hangs_by

if TYPE_CHECKING:
    from tests.support.refit_state import Aftermath


def over(after: Aftermath, task: str) -> set[str]:
    """A task of the way back, and all that goes over what it, or one of these, needs clear; and so on."""
    found: set[str] = set()
    more = {f"task {task}"} | putting_on(after, after.text["tasks"][task].get("back_before") or [])
    while more - found:
        found |= more
        more = {n for n in after.allowed if after.earlier[n] & found}
        more |= {n for one in found for n in putting_on(after, clear_for(after, one))}
    helpers = {f"task {n.partition(' ')[2]}" for n in found if n.startswith("restore ")}
    return found | (helpers & after.allowed)


def clear_for(after: Aftermath, name: str) -> list[Any]:
    """All that is in the way of a step, or could be."""
    kind, _, thing = name.partition(" ")
    if kind in ("task", "restore"):
        about = after.text["tasks"][thing] or {}
        home = kind == "task" and after.is_home(thing)
        return off_for(after, thing) if home else about.get("behind") or []
    if kind in ("fill", "leak-check", "close"):
        return after.text["fluids"][thing]["drain"].get("behind") or [] if kind == "close" else []
    part = after.part(thing.partition("/")[0])
    items = [*(part.get("behind") or []), *(part.get("trapped_by") or [] if kind == "fit" else [])]
    hung = [f"{rider}/{j}" for rider, j in hangs_by(after.text, thing)] if kind == "fit" else []
    items += [*hung, *(one.partition("/")[0] for one in hung)]
    return items + (after.joint(thing).get("behind") or [] if "/" in thing else [])


def off_for(after: Aftermath, task: str) -> list[Any]:
    """What is behind a task of the way back, as far as this job has cleared it."""
    return [item for item in parts_behind(after.text, task) if after.clear(item, after.allowed)]


def putting_on(after: Aftermath, items: Iterable[Any]) -> set[str]:
    """The steps that bring back what stands in a list."""
    things = mentioned(items)
    things |= {other for one in things if "/" not in one for other in carriers(after.text, one)}
    kinds = ("fit", "move-back", "seat", "fasten")
    return {f"{kind} {thing}" for thing in things for kind in kinds} & after.allowed


def bead_before(name: str) -> tuple[str, ...]:
    """For a bead the steps that it may go on before; nothing for any other step."""
    kind, _, thing = name.partition(" ")
    return tuple(f"{step} {thing}" for step in ("fasten", "fit", "move-back", "seat") if kind == "seal")
