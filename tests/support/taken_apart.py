"""Machines that came apart in some order, and the same with that order written out under `behind`.

By the format page a thing of the order waits for what came off before it as if it were behind it: written out
so, a machine file has no more to say of how it came apart, and any reading of it is a second one of that.
"""

from __future__ import annotations

import copy
import random
from typing import Any

from sequencer.graph import derive
from sequencer.graph.explain import rules_as_clauses
from sequencer.graph.reach import possible
from sequencer.machine.reading import read_text
from tests.support.plain_machine import as_data, as_text

Item = str | dict[str, str]


def an_order_of(text: str, rng: random.Random) -> list[str]:
    """Some order in which all that can be done to a machine can be done."""
    machine = read_text(text).machine
    assert machine is not None
    graph = derive(machine)
    rules = rules_as_clauses(graph)
    needs = {name: (*clauses, *rules.get(name, ())) for name, clauses in graph.needs.items()}
    done: list[str] = []
    while free := [n for n in needs if n not in done and all(set(c.any_of) & set(done) for c in needs[n])]:
        done.append(rng.choice(free))
    return done


def learned(text: str, rng: random.Random) -> tuple[str, str] | None:
    """A machine with some order in which it came apart, and with that written out; None where they differ.

    Of some parts it is told that they came off, of some that they were moved aside, of some that a joint was
    undone, of some nothing.
    """
    machine = as_data(text)
    done = an_order_of(text, rng)
    found: list[tuple[int, Item]] = []
    for name, part in machine["parts"].items():
        ways: list[tuple[str, Item]] = [(f"remove {name}", name)] * 4
        ways += [(f"undo {name}/{joint}", f"{name}/{joint}") for joint in part["joints"]]
        ways += [(f"move-aside {name}", {name: "aside"})] if "aside" in part else []
        operation, item = rng.choice(ways)
        if operation in done and rng.random() < 0.9:
            found.append((done.index(operation), item))
    for task in machine.get("tasks", {}):
        if f"task {task}" in done:
            found.append((done.index(f"task {task}"), task))
    order = [item for _, item in sorted(found, key=lambda one: one[0])]
    free = _free(order, rng)
    told = {**by_hand(machine), "taken_apart": {"order": order, "free": free}}
    out = written_out(machine, order, free)
    if len(possible_of(as_text(out))) < len(possible_of(text)):
        return None  # some work on a thing went before what came off first: the page has no words for that
    return as_text(told), as_text(out)


def by_hand(machine: dict[str, Any]) -> dict[str, Any]:
    """The machine with no torque left open: where it has none, the joint is tight by hand."""
    found = copy.deepcopy(machine)
    for part in found["parts"].values():
        for joint in part.get("joints", {}).values():
            if "torque" not in joint and "stages" not in joint:
                joint["torque"] = {"by_hand": "by feel"}
    return found


def possible_of(text: str) -> set[str]:
    """What of a machine can be done when all of it is; nothing of one that is refused."""
    machine = read_text(text).machine
    if machine is None:
        return set()
    graph = derive(machine)
    return possible(graph.needs, rules_as_clauses(graph))


def _free(order: list[Item], rng: random.Random) -> list[dict[str, Any]]:
    free: list[dict[str, Any]] = []
    if len(order) > 1 and rng.random() < 0.5:
        free.append({"first": [rng.choice(order)], "source": "said on the job"})
    if len(order) > 2 and rng.random() < 0.5:
        first, *then = rng.sample(order, 3)
        free.append({"first": [first], "then": then})
    return free


def _name(item: Item) -> str:
    return (item if isinstance(item, str) else next(iter(item))).partition("/")[0]


def written_out(machine: dict[str, Any], order: list[Item], free: list[dict[str, Any]]) -> dict[str, Any]:
    """The machine with each pair of the order that is not free under `behind`, or `needs` of a task."""
    out = copy.deepcopy(machine)
    for place, later in enumerate(order):
        for earlier in order[:place]:
            task = isinstance(later, str) and later in out.get("tasks", {})
            if _name(earlier) != _name(later) and not _is_free(earlier, later, free, task=task):
                _put(out, earlier, later)
    return out


def _is_free(earlier: Item, later: Item, free: list[dict[str, Any]], *, task: bool) -> bool:
    """Whether an answer frees a pair; one that names nothing after it frees no tasks."""
    for one in free:
        if earlier in one["first"] and (later in one["then"] if "then" in one else not task):
            return True
        if later in one["first"] and earlier in one.get("then", ()):
            return True
    return False


def _put(out: dict[str, Any], earlier: Item, later: Item) -> None:
    tasks = out.get("tasks", {})
    key = "needs" if isinstance(earlier, str) and earlier in tasks else "behind"
    if isinstance(later, str) and later in tasks:
        key = "after" if key == "needs" else key
        about = tasks[later]
    else:
        name, _, joint = (later if isinstance(later, str) else next(iter(later))).partition("/")
        about = out["parts"][name]
        about = about["joints"][joint] if joint else about
    if earlier not in about.setdefault(key, []):
        about[key].append(earlier)
