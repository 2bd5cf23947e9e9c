"""What holds each part after each step, read once more from the guide's page (practice.md, What holds what).

It goes forwards through the steps by name, on both ways, and imports nothing of the program.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator, Sequence
from typing import Any

from tests.support.plain_machine import carriers, kilos

FASTENERS = {"bolt", "nut", "screw", "stud", "fit", "pin", "spring", "strap", "hook", None, "fastener"}
LESSER = {"clamp", "union", "clip", "latch", "dowel", "press fit", "taper"}
STANDS = {"stand", "stands"}
PROPS = {"prop", "jack", "hoist", "crane", "sling", "strap", "support", "weight", "hang", "suspend", "wedge"}
YES, LOOK, NO = "safe", "nothing known against it", "not safe"
ANSWERS = {
    "a hand": NO,
    "unknown": LOOK,
    "fasteners": YES,
    "itself": YES,
    "a tie": YES,
    "what it rides on": YES,
    "nothing, and it is light": YES,
}


def kilograms(part: dict[str, Any]) -> float | None:
    """The weight that the file gives a part."""
    return kilos(part["weight"]) if "weight" in part else None


class Standing:
    """A machine as it stands after some steps of a way."""

    def __init__(self, text: dict[str, Any]) -> None:
        self.text = text
        self.parts: dict[str, dict[str, Any]] = {name: part or {} for name, part in text["parts"].items()}
        self.state = dict.fromkeys(self.parts, "fitted")
        self.out: set[str] = set()
        self.slack: set[str] = set()
        self.tasks: list[str] = []

    def does(self, step: str, later: Sequence[str]) -> None:
        """One step; ``later`` are those of its way that come after it."""
        word, _, what = step.partition(" ")
        ends = {"remove": "off", "move-aside": "aside", "loosen": "loose"}
        if word in ends:
            self.state[what] = ends[word]
        elif word in ("fit", "move-back", "seat"):
            rest = [("move-back", "aside"), ("seat", "loose")]
            passed = {"fit": 0, "move-back": 1, "seat": 2}[word]
            ahead = [state for verb, state in rest[passed:] if f"{verb} {what}" in later]
            self.state[what] = ahead[0] if ahead else "fitted"
        elif word in ("undo", "slacken"):
            (self.out if word == "undo" else self.slack).add(what)
        elif word in ("fasten", "tighten"):
            self.out.discard(what)
            if f"tighten {what}" not in later:
                self.slack.discard(what)
        elif word == "task" and "undo" in self.text["tasks"][what]:
            self.tasks.append(what)
        elif word == "restore":
            self.tasks.remove(what)

    def is_off(self, part: str) -> bool:
        return any(self.state[name] == "off" for name in (part, *carriers(self.text, part)))

    def joints(self, part: str, kinds: set[str | None]) -> list[str]:
        """The paths of a part's joints of these kinds."""
        joints = self.parts[part].get("joints") or {}
        return [f"{part}/{name}" for name, about in joints.items() if (about or {}).get("kind") in kinds]

    def carrying(self, task: str) -> bool:
        about = self.text["tasks"][task]
        mine = about.get("carries") or []
        if not mine or all(map(self.is_off, mine)):
            return False
        beside = [name.partition("/")[0] for name in about.get("before") or []]
        load = dict.fromkeys((*mine, *beside))
        holding = [path for part in load for path in self.joints(part, FASTENERS | LESSER)]
        gone = any(self.is_off(part) or self.state[part] == "aside" for part in load)
        return gone or not holding or any(path in self.out or path in self.slack for path in holding)

    def calls(self, task: str) -> str:
        """Whether a machine may be left on what a task has set up."""
        about = self.text["tasks"][task]
        tool = about.get("tool")
        label = ((self.text.get("tools") or {}).get(tool) or {}).get("label")
        said = f"{task} {about.get('label', '')} {tool or ''} {label or ''}"
        words = set(re.split(r"\W+", said.lower()))
        if about.get("rated") or (about.get("carries") and not self.carrying(task)):
            return YES
        if words & STANDS:
            return LOOK
        return NO if about.get("carries") or words & PROPS else YES

    def holder(self, name: str) -> str:
        """What holds a part that is on the machine."""
        part, aside = self.parts[name], self.state[name] == "aside"
        hold, kg = part.get("hold"), kilograms(part)
        heavy = hold is True or (hold is None and kg is not None and kg >= 3)
        light = hold is None and kg is not None and kg < 3
        joints = [f"{name}/{joint}" for joint in part.get("joints") or {}]
        undone = [path for path in joints if path in self.out]
        left = [path for path in joints if path not in self.out]
        fasteners = self.joints(name, FASTENERS)
        free = not joints and bool(part.get("trapped_by")) and all(map(self._clear, part["trapped_by"]))
        if any(self.carrying(t) and name in self.text["tasks"][t]["carries"] for t in self.tasks):
            return "a task"
        if aside and part.get("tie"):
            return "a tie"
        if hold is False and (aside or undone or free):
            return "itself"
        if aside:
            if set(left) & set(fasteners):
                return "fasteners"
            return "nothing, and it is light" if light and not set(undone) & set(fasteners) else "unknown"
        rides = part.get("rides")
        if undone and rides and all(f"{name}/{joint}" in left for joint in rides["with"]):
            return "what it rides on"
        if fasteners and set(fasteners) <= set(undone):
            return "a hand"
        if set(fasteners) & set(undone):
            return "some of its fasteners"
        if fasteners and undone:
            return "fasteners"
        if undone and left:
            return "unknown" if heavy else "fasteners"
        if undone:
            return "a hand" if heavy else "nothing, and it is light" if light else "unknown"
        return "unknown" if free and not light else "fasteners"

    def _clear(self, need: Any) -> bool:
        if isinstance(need, dict) and "any" in need:
            return any(map(self._clear, need["any"]))
        if isinstance(need, dict):
            ((part, state),) = need.items()
            reached = ["fitted", "loose", "aside", "off"]
            return self.is_off(part) or reached.index(self.state[part]) >= reached.index(state)
        return need in self.out if "/" in need else self.is_off(need)


def after_each(
    text: dict[str, Any], there: Sequence[str], back: Sequence[str] | None = None
) -> Iterator[dict[str, tuple[str, str]]]:
    """Before the first step of a way, and after each: by part, and by task set up, what holds and the answer.

    The way is ``there``; with ``back`` it is that, after ``there``.
    """
    now = Standing(text)
    for number, step in enumerate(there):
        if back is None:
            yield _said(now, there[:number], there[number:], back=False)
        now.does(step, there[number + 1 :])
    if back is None:
        yield _said(now, there, [], back=False)
        return
    for number in range(len(back) + 1):
        yield _said(copy.deepcopy(now), back[:number], back[number:], back=True)
        if number < len(back):
            now.does(back[number], back[number + 1 :])


def _said(
    now: Standing, done: Sequence[str], todo: Sequence[str], *, back: bool
) -> dict[str, tuple[str, str]]:
    found = {task: ("", now.calls(task)) for task in now.tasks}
    for part in now.parts:
        if now.is_off(part):
            continue
        how = now.holder(part)
        if how == "some of its fasteners":
            moves = [f"{verb} {part}" for verb in ("remove", "fit", "move-aside", "move-back")]
            more = [f"{verb} {path}" for verb in ("undo", "fasten") for path in now.joints(part, FASTENERS)]
            whole = done if back else todo  # what of this way is not undone at this time
            found[part] = (how, NO if set(whole) & {*moves, *more} else LOOK)
        else:
            found[part] = (how, ANSWERS.get(how, YES))
    return found
