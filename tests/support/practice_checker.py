"""Reads a way back step by step and says where somebody walks off from what could be done at once.

Written from the format page: `start` and `snug`, and of `hold` what can be seen on the way back. A breach
that the plan names itself, as a rule that it can't keep, is none.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

from tests.support.plain_machine import kilos, load_machine
from tests.support.practice_reference import BEARING, LOCATING, RETAINING
from tests.support.refit_state import Aftermath


def breaches_back(source: Path | str, teardown: dict[str, Any], refit: dict[str, Any]) -> list[str]:
    """All breaches of the way back that it does not name."""
    after = Aftermath(load_machine(source), tuple(step["op"] for step in teardown["steps"]))
    return sorted(
        f"{rule} {thing}: {said}"
        for rule, thing, said in _found(after, refit)
        if (rule, thing) not in {(rule["rule"], rule["subject"]) for rule in refit["not_kept"]}
    )


def _found(after: Aftermath, refit: dict[str, Any]) -> set[tuple[str, str, str]]:
    steps = [step for step in refit["steps"] if not step["op"].startswith("seal ")]
    where = {step["op"]: step["position"] for step in steps}
    names = [step["op"] for step in steps]
    sent = (
        _sent(after, names)
        | _under_a_weight(after, names)
        | _in_a_bead(names, [step["op"] for step in refit["steps"]])
    )
    found = {
        breach
        for number, (a, b) in enumerate(pairwise(steps), start=1)
        for breach in _gap(after, a["op"], b["op"], where, steps)
        if breach[0] == "hold" or number not in sent
    }
    return found | set(_serving(after, names))


def _serving(after: Aftermath, names: list[str]) -> Iterator[tuple[str, str, str]]:
    """Where a helper does not go on directly before its joints, or come off directly after."""
    for task, about in (after.text.get("tasks") or {}).items():
        served = about.get("serves") or []
        last = [names.index(n) for path in served if (n := _last_word(path, names))]
        beside = {
            f"{kind} {other}"
            for other, of in after.text["tasks"].items()
            for kind in ("task", "restore")
            if set(of.get("serves") or []) & set(served)
        }
        on, off = (names.index(n) if (n := f"{k} {task}") in names else None for k in ("task", "restore"))
        if last and on is not None and not set(names[on + 1 : min(last)]) <= beside:
            yield "serves", task, f"{names[on + 1]} comes after task {task}"
        if last and off is not None and not set(names[max(last) + 1 : off]) <= beside:
            yield "serves", task, f"{names[max(last) + 1]} comes before restore {task}"


def _sent(after: Aftermath, names: list[str]) -> set[int]:
    """The gaps in which a helper says where to go: after so many steps."""
    sent: set[int] = set()
    for task, about in (after.text.get("tasks") or {}).items():
        last = [names.index(n) for path in about.get("serves") or [] if (n := _last_word(path, names))]
        if last:
            on = names.index(f"task {task}") if f"task {task}" in names else min(last)
            off = names.index(f"restore {task}") if f"restore {task}" in names else max(last)
            sent |= set(range(on + 1, off + 1))
    faces: dict[str, list[int]] = {}
    for number, name in enumerate(names):
        if name.startswith("torque ") and (face := after.joint(name[7:]).get("face")):
            faces.setdefault(face, []).append(number)
    return sent.union(*(range(min(at) + 1, max(at) + 1) for at in faces.values()))


def _under_a_weight(after: Aftermath, names: list[str]) -> set[int]:
    """The gaps between a jack and its load, and those in which who stays would work below what it carries."""
    sent: set[int] = set()
    for task, about in (after.text.get("tasks") or {}).items():
        if about.get("carries") and not about.get("rated") and f"restore {task}" in names:
            on = names.index(f"task {task}") if f"task {task}" in names else -1
            sent |= set(range(on + 1, names.index(f"restore {task}") + 1))
    return sent


def _in_a_bead(names: list[str], with_beads: list[str]) -> set[int]:
    """The gaps between a bead and the last step on what it is on: nobody works elsewhere then."""
    sent: set[int] = set()
    for bead in (name for name in with_beads if name.startswith("seal ")):
        thing = bead.partition(" ")[2]
        own = [n for n, name in enumerate(names) if name.partition(" ")[2] in {thing} | _joints(thing, names)]
        begun = [names.index(n) for n in with_beads[with_beads.index(bead) :] if n in names][:1]
        sent |= set(range(begun[0] + 1, max(own) + 1)) if begun else set()
    return sent


def _joints(part: str, names: list[str]) -> set[str]:
    return {path for name in names if (path := name.partition(" ")[2]).startswith(f"{part}/")}


def _last_word(path: str, names: list[str]) -> str | None:
    """The step that tightens a joint for good."""
    steps = (f"{kind} {path}" for kind in ("torque", "retighten", "fasten", "tighten"))
    return next((step for step in steps if step in names), None)


def _gap(
    after: Aftermath, old: str, new: str, where: dict[str, str], steps: list[dict[str, Any]]
) -> Iterator[tuple[str, str, str]]:
    names = [step["op"] for step in steps]
    left = names[names.index(new) :]
    kind, _, thing = old.partition(" ")
    leads_away = _leads_away(after, new, left, where)
    fitted = kind in ("fit", "move-back")
    if fitted and _hangs(after, kind, thing) and not (kind == "fit" and f"move-back {thing}" in names):
        if new.startswith("task ") and any(
            path.partition("/")[0] == thing for path in after.text["tasks"][new[5:]].get("serves") or []
        ):
            return
        if new.partition("/")[0] != f"fasten {thing}":
            yield "hold", thing, f"{new} comes after {old}"
        return
    for name in left:
        verb, _, path = name.partition(" ")
        if verb not in ("fasten", "torque") or where[name] != where[old] or name == new:
            continue
        part = path.split("/")[0]
        if verb == "fasten" and not {f"fit {part}", f"move-back {part}"} & set(names):
            continue
        helpers = _helpers(after, path, left)
        lacking = [other for other in left if other not in helpers]
        if (
            any(after.step_faults(one, lacking) for one in (name, *helpers))
            or any(_waits_for_more(after, one, name, lacking) for one in helpers)
            or _closes_off(after, name, lacking)
            or (verb == "fasten" and _waits_for_a_seat(after, path, left))
            or (verb == "torque" and _waits_for_its_set(after, path, lacking))
        ):
            continue
        if new in helpers:
            continue
        if where[new] != where[old] or (leads_away and not _leads_away(after, name, left, where)):
            yield {"fasten": "start", "torque": "snug"}[verb], path, f"{old} is left for {new}"
        other = new.removeprefix("fit ")
        if verb == "fasten" and new.startswith("fit ") and other != part:
            yield "start", path, f"{other} is fitted first"


def _leads_away(after: Aftermath, new: str, left: list[str], where: dict[str, str]) -> bool:
    """Whether a step begins a set that goes on at another place."""
    face = after.joint(new[7:]).get("face") if new.startswith("torque ") else None
    mates = [n for n in left if n.startswith("torque ") and face and after.joint(n[7:]).get("face") == face]
    return any(where[name] != where[new] for name in mates)


def _helpers(after: Aftermath, path: str, left: list[str]) -> list[str]:
    """What is still to be set up for a joint, or for the rest of its face."""
    face = after.joint(path).get("face")
    mates = (name[7:] for name in left if name.startswith("torque ") and face)
    paths = {path, *(mate for mate in mates if after.joint(mate).get("face") == face)}
    tasks = after.text.get("tasks") or {}
    served = {task: paths & set(about.get("serves") or []) for task, about in tasks.items()}
    return [n for task, own in served.items() if (n := f"task {task}") in left and _tightened(own, left)]


def _tightened(paths: set[str], left: list[str]) -> bool:
    return any(_last_word(path, left) for path in paths)


def _waits_for_more(after: Aftermath, helper: str, name: str, left: list[str]) -> bool:
    """Whether a helper is set up for something else, too, that can't be done yet."""
    served = after.text["tasks"][helper[5:]]["serves"]
    others = {n for path in served if (n := _last_word(path, left))} - {name}
    rest = [other for other in left if other not in others]
    return any(after.step_faults(other, [*rest, other]) for other in others)


def _closes_off(after: Aftermath, name: str, left: list[str]) -> bool:
    """Whether something that is still to be done can't be reached any more after this."""
    rest = [other for other in left if other != name]
    return any("in front" in fault for other in rest for fault in after.step_faults(other, rest))


def _hangs(after: Aftermath, kind: str, part: str) -> bool:
    """Whether the part has to be held: by its weight, or moved aside by undoing what bears it."""
    about = after.part(part)
    if kind == "move-back" and not (about.get("aside") or {}).get("joints"):
        return False
    if "hold" in about or "rides" in about:
        return about.get("hold", False)
    carried = any(part in (task.get("carries") or []) for task in (after.text.get("tasks") or {}).values())
    if carried or not about.get("joints"):
        return False
    aside = (about.get("aside") or {}).get("joints", []) if kind == "move-back" else []
    bears = any(about["joints"][joint].get("kind") in BEARING for joint in aside)
    return bears or kilos(about.get("weight", "0 kg")) >= 3


def _waits_for_its_set(after: Aftermath, path: str, left: list[str]) -> bool:
    """What settles waits for the others of its part and face; a set for what any of it waits for."""
    own = after.joint(path)
    joints = {
        f"{p}/{j}": how for p in after.text["parts"] for j, how in after.part(p).get("joints", {}).items()
    }
    face = {other for other, how in joints.items() if own.get("face") and how.get("face") == own["face"]} - {
        path
    }
    if own.get("settle"):
        beside = face | {other for other in joints if other.split("/")[0] == path.split("/", maxsplit=1)[0]}
        return any(f"torque {other}" in left for other in beside if not joints[other].get("settle"))
    if any(f"{kind} {other}" in left for other in face for kind in ("fasten", "tighten")):
        return True
    return any(
        after.step_faults(f"torque {other}", left) or _waits_for_its_part(after, other, left)
        for other in face
        if f"torque {other}" in left
    )


def _waits_for_its_part(after: Aftermath, path: str, left: list[str]) -> bool:
    """A joint of a face that settles waits for all of its part that does not, on the face or not."""
    part = path.partition("/")[0]
    return bool(after.joint(path).get("settle")) and any(
        f"torque {part}/{other}" in left
        for other, how in after.part(part)["joints"].items()
        if not how.get("settle") and how.get("face") != after.joint(path).get("face")
    )


def _waits_for_a_seat(after: Aftermath, path: str, left: list[str]) -> bool:
    """A joint that bears or retains waits for one of its part that locates, as `seated` has it."""
    part = path.split("/", maxsplit=1)[0]
    if after.joint(path).get("kind") not in BEARING | RETAINING:
        return False
    joints = after.part(part)["joints"]
    return any(how.get("kind") in LOCATING and f"fasten {part}/{j}" in left for j, how in joints.items())
