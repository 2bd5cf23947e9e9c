"""What a teardown left to put back, and what each step of the way back waits for."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from tests.support.home_tasks import called, named_behind
from tests.support.plain_machine import (
    BEARING,
    LOCATING,
    STATES,
    Machine,
    carried,
    carriers,
    hangs_by,
    torqued_from,
)
from tests.support.refit_covers import bead_before, clear_for, off_for, over, putting_on
from tests.support.torque_waits import awaited, leading_to

LEVEL = {"seat": 1, "move-back": 2, "fit": 3}  # the state that each brings a part back from


@dataclass(frozen=True)
class Aftermath:
    """What a teardown left to put back, and what each step of that waits for.

    Which step may come next depends only on which are still to come: a part stands as far out as the
    furthest of the steps that are still to bring it back.
    """

    machine: Machine
    done: tuple[str, ...]

    @cached_property
    def text(self) -> dict[str, Any]:
        return self.machine.text

    def part(self, name: str) -> dict[str, Any]:
        return self.text["parts"][name] or {}

    def joint(self, path: str) -> dict[str, Any]:
        part, _, joint = path.partition("/")
        return self.part(part)["joints"][joint]

    def plug(self, fluid: str) -> dict[str, Any] | None:
        """What closes a drain, where the file says that something does."""
        drain = self.text["fluids"][fluid]["drain"]
        return drain["plug"] or {} if "plug" in drain else None

    def did(self, kind: str) -> list[str]:
        """What operations of a kind were done to; draining once more is put right by the same filling."""
        found = [name.partition(" ")[2] for name in self.done if name.partition(" ")[0] == kind]
        return [thing for thing in found if kind != "drain" or not thing.endswith(" again")]

    @property
    def waste(self) -> set[str]:
        """Fluids that are not filled again."""
        return {fluid for fluid, of in (self.text.get("fluids") or {}).items() if of.get("fill") == "none"}

    @cached_property
    def required(self) -> frozenset[str]:
        """The steps without which something would be left undone."""
        removed, aside, loosened = self.did("remove"), self.did("move-aside"), self.did("loosen")
        undone, slack, cracked = self.did("undo"), self.did("slacken"), self.did("crack")
        tasks = [
            task for task in self.did("task") if (self.text["tasks"][task] or {}).get("undo") is not None
        ]
        drained = [fluid for fluid in self.did("drain") if fluid not in self.waste]
        need = {f"fit {part}" for part in removed}
        need |= {f"move-back {part}" for part in aside if part not in removed}
        need |= {f"seat {part}" for part in loosened if part not in removed and part not in aside}
        need |= {f"fasten {path}" for path in undone}
        need |= {f"tighten {path}" for path in slack if path not in undone}
        need |= {f"restore {task}" for task in tasks}
        need |= {f"task {task}" for task in self.did("restore")}
        need |= {f"{kind} {fluid}" for fluid in drained for kind in ("fill", "leak-check")}
        need |= {f"close {fluid}" for fluid in self.did("drain") if self.plug(fluid) is not None}
        need |= {f"torque {p}" for p in {*undone, *slack, *cracked} if "torque" in self.joint(p)}
        need |= {f"retighten {p}" for p in cracked if "torque" not in self.joint(p)}
        need |= {f"seal {part}" for part in {*removed, *aside, *loosened} if "sealant" in self.part(part)}
        need |= {f"seal {path}" for path in undone if "sealant" in self.joint(path)}
        need |= {f"task {task}" for task in called(self.text, self.done)}
        return frozenset(need)

    @cached_property
    def allowed(self) -> frozenset[str]:
        """These, and the states on the way that the teardown went through."""
        way = {f"move-back {part}" for part in self.did("move-aside")}
        way |= {f"seat {part}" for part in self.did("loosen")}
        return self.required | way | {f"tighten {path}" for path in self.did("slacken")}

    def choice_faults(self, names: Collection[str]) -> list[str]:
        """What is missing, too much, or done twice."""
        faults = [f"{name}: missing" for name in sorted(self.required - set(names))]
        faults += [f"{name}: nothing asks for it" for name in sorted(set(names) - self.allowed)]
        faults += [f"{n}: done more than once" for n in sorted(set(names)) if list(names).count(n) > 1]
        for path in self.did("slacken"):
            seated = f"seat {path.partition('/')[0]}" in names
            told = f"tighten {path}" in names
            if f"fasten {path}" in names and seated is not told:
                faults.append(f"tighten {path}: {'missing' if seated else 'nothing asks for it'}")
        return faults

    # ---- What stands where while some steps are still to come --------------------------------------------

    @staticmethod
    def level(part: str, left: Collection[str]) -> int:
        return max((level for kind, level in LEVEL.items() if f"{kind} {part}" in left), default=0)

    def clear(self, item: Any, left: Collection[str]) -> bool:
        """Whether an item of `behind` or `trapped_by` is still clear."""
        if isinstance(item, str):
            off = f"fasten {item}" in left if "/" in item else self.level(item, left) == LEVEL["fit"]
            return off or self._away(item, left)
        ((key, value),) = item.items()
        if key == "any":
            return any(self.clear(one, left) for one in value)
        return self.level(key, left) > STATES.index(value) or self._away(key, left)

    def _away(self, part: str, left: Collection[str]) -> bool:
        """Whether what a part rides on is still to come back."""
        return "/" not in part and any(f"fit {other}" in left for other in carriers(self.text, part))

    def in_front(self, about: Mapping[str, Any], left: Collection[str], key: str = "behind") -> list[Any]:
        return [item for item in about.get(key) or [] if not self.clear(item, left)]

    def blocked(self, path: str, left: Collection[str]) -> list[Any]:
        """What is in front of a part, or of a joint and its part."""
        found = self.in_front(self.part(path.partition("/")[0]), left)
        return found + (self.in_front(self.joint(path), left) if "/" in path else [])

    # ---- One step ------------------------------------------------------------------------------------------

    def step_faults(self, name: str, left: Collection[str]) -> list[str]:
        """What is wrong with doing this step when it and the others in `left` are still to come."""
        left = set(left) - {name}
        faults = self._covered(name, left)
        faults += [
            f"{name}: {item} is in front" for item in self.wishes.get(name, ()) if not self.clear(item, left)
        ]
        return faults + [f"{name}: before {other}" for other in sorted(self.earlier[name] & left)]

    def _covered(self, name: str, left: Collection[str]) -> list[str]:
        """What this step needs that is no longer so."""
        kind, _, thing = name.partition(" ")
        first = {f"restore {task}" for task in self.text.get("first") or []} & self.required
        gone = first - set(left) - {name} - self._may_follow(name) - self._led_to.get(name, set())
        faults = [f"{name}: after {task}" for task in sorted(gone) if name not in first]
        if kind == "task" and self.is_home(thing):
            items = self.in_front({"behind": off_for(self, thing)}, left)
        elif kind in ("restore", "task"):
            items = self.in_front(self.text["tasks"][thing] or {}, left)
        elif kind in ("fill", "leak-check"):
            items = []
        elif kind == "close":
            items = self.in_front(self.text["fluids"][thing]["drain"], left)
        else:
            items = self.blocked(thing, left)
        if kind == "fit":
            items += self.in_front(self.part(thing), left, "trapped_by")
            items += [
                f"{rider}/{joint}, fastened already,"
                for rider, joint in hangs_by(self.text, thing)
                if left.isdisjoint({f"fasten {rider}/{joint}", f"fit {rider}"})
            ]
        return faults + [f"{name}: {item} is in front" for item in items]

    @cached_property
    def earlier(self) -> dict[str, set[str]]:
        """For each step the steps that come before it, if they come at all."""
        found = {}
        for name in self.allowed:
            kind, _, thing = name.partition(" ")
            match kind:
                case "restore":
                    found[name] = self._before_restore(thing) | ({f"task {thing}"} & self.allowed)
                case "task":
                    found[name] = self._before_task(thing) if self.is_home(thing) else set()
                case "fill":
                    found[name] = self._before_fill(thing) | {f"close {thing}"}
                case "close":
                    found[name] = set()
                case "leak-check":
                    found[name] = {f"fill {thing}"}
                case _:
                    found[name] = self._before(kind, thing)
        for task in self.did("restore"):
            for name in self._in_place(task):
                found[name].add(f"task {task}")
        for name, steps in self._waits.items():
            found[name] |= steps
        for name in self._waits:  # what has to be done for that which it waits for comes before it
            for step in leading_to(self._waits[name], found, self._over_it) - {name}:
                if step.partition(" ")[0] in ("restore", "fill"):
                    found[step].discard(name)
        return found

    @cached_property
    def _waits(self) -> dict[str, set[str]]:
        """The torques that wait until something is back, each with the steps that bring it back."""
        torques = [name for name in self.allowed if name.startswith("torque ")]
        found = {n: awaited(self.text, self.joint(n.removeprefix("torque ")), self.allowed) for n in torques}
        return {name: steps for name, steps in found.items() if steps}

    @cached_property
    def _led_to(self) -> dict[str, set[str]]:
        """For each step what it may follow for the sake of what it waits for."""
        waits = self._waits
        return {n: leading_to(waits.get(n, ()), self.earlier, self._over_it) for n in self.allowed}

    def _over_it(self, name: str) -> set[str]:
        return putting_on(self, clear_for(self, name))

    def _in_place(self, task: str) -> set[str]:
        """The steps of the way back for which a task is there: the last one on what it serves, and others."""
        about = self.text["tasks"][task]
        if about.get("carries"):
            fits = [
                next(
                    n for other in (part, *carriers(self.text, part)) if (n := f"fit {other}") in self.allowed
                )
                for part in about["carries"]
            ]
            return {*fits, *(n for n in self.allowed if task in self._at(n, "needs"))}
        served = about["serves"]
        last = {
            next(
                n
                for kind in ("torque", "retighten", "fasten", "tighten")
                if (n := f"{kind} {path}") in self.required
            )
            for path in served
            if any(f"{kind} {path}" in self.done for kind in ("crack", "slacken", "undo"))
        }
        others = {n for n in self._before_restore(task) if n.partition(" ")[2] not in served}
        return last | others

    @cached_property
    def wishes(self) -> dict[str, list[Any]]:
        """What fluids ask for wherever there is room for it: a filler in reach, a leak check in view.

        A filler behind what the fluid wets leaves none, nor a drain behind what is on before the filling.
        """
        granted: dict[str, list[Any]] = {}
        fluids = [
            (fluid, self.text["fluids"][fluid])
            for fluid in self.text.get("fluids") or {}
            if fluid not in self.waste
        ]
        asked = [(f"fill {fluid}", item) for fluid, of in fluids for item in of["fill"].get("behind") or []]
        asked += [(f"leak-check {fluid}", i) for fluid, of in fluids for i in of["drain"].get("behind") or []]
        for name, item in asked:
            if name in self.allowed and self.clear(item, self.allowed):
                items = granted.setdefault(name, [])
                items.append(item)
                if not self._room_for(granted):
                    items.remove(item)
        return granted

    def _room_for(self, wishes: Mapping[str, list[Any]]) -> bool:
        """Whether some order grants these: found from its end, whatever nothing else waits for first."""
        left: set[str] = set()
        while free := {
            name
            for name in self.allowed - left
            if not self._covered(name, left)
            and all(self.clear(item, left) for item in wishes.get(name, ()))
            and not any(name in self.earlier[other] for other in self.allowed - left - {name})
        }:
            left |= free
        return left == self.allowed

    def _before(self, kind: str, thing: str) -> set[str]:
        """The steps on parts and joints that come before one on a part or joint."""
        part, _, joint = thing.partition("/")
        states = [f"{state} {part}" for state in ("fit", "move-back", "seat")]
        sealed = {f"seal {thing}"}
        match kind:
            case "fit":
                return set() if part in self.did("move-aside") else sealed
            case "move-back":
                return {*states[:1], *sealed}
            case "seat":
                return {*states[:2], *sealed}
            case "fasten":
                aside = joint in ((self.part(part).get("aside") or {}).get("joints") or [])
                return {*states[: 2 if aside else 1], *sealed}
            case "tighten":
                return {*states, f"fasten {thing}"}
            case "torque" | "retighten":
                own = {f"fasten {thing}", f"tighten {thing}"}
                cracked = thing in self.did("crack")
                return own | {n for p in self.holders(thing) for n in self._on(p)} if cracked else own
        return set()

    def holders(self, path: str) -> list[str]:
        """The parts that a cracked joint was cracked while."""
        return list(self.machine.cracks.get(f"crack {path}", ()))

    def _on(self, part: str) -> set[str]:
        """Every step on a part and its joints."""
        return {n for n in self.allowed if self.part_of(n) == part}

    @staticmethod
    def part_of(name: str) -> str | None:
        kind, _, thing = name.partition(" ")
        return None if kind in ("restore", "task", "fill", "leak-check", "close") else thing.partition("/")[0]

    def _before_restore(self, task: str) -> set[str]:
        about = self.text["tasks"][task] or {}

        def waits(name: str) -> bool:
            part = self.part_of(name)
            if part is None:
                return False
            path = name.partition(" ")[2]
            things = [(part, self.part(part))] + ([(path, self.joint(path))] if "/" in path else [])
            return any(
                what in (about.get("before") or []) + (about.get("serves") or [])
                or what in carried(self.text, about)
                or task in (of.get("needs") or [])
                for what, of in things
            )

        found = {name for name in self.allowed if waits(name)}
        if about.get("carries"):
            found = {name for name in found if self._bears(name)}
        found |= {name for name in self.allowed if task in self._at(name, "needs")}
        home = called(self.text, self.done)
        found |= {f"task {n}" for n in home if task in (self.text["tasks"][n].get("after") or [])}
        for other, of in self.text["tasks"].items():  # where nothing undoes one, what waits for that
            if task in ((of or {}).get("after") or []) and not self.is_home(other):
                undone = "undo" in (of or {})
                found |= {f"restore {other}"} & self.allowed if undone else self._before_restore(other)
        return found

    def _bears(self, name: str) -> bool:
        """Whether a part hangs on what carries it until this is done: its bearing joints, or what it has."""
        kind, _, path = name.partition(" ")
        part = path.partition("/")[0]
        done_up = {n.partition(" ")[2] for n in self.allowed if n.split(" ", 1)[0] in ("fasten", "tighten")}
        own = {p for p in done_up if p.startswith(f"{part}/")}
        for best in (BEARING, LOCATING):
            if any(self.joint(p).get("kind") in best for p in own):
                return kind in ("fasten", "tighten") and self.joint(path).get("kind") in best
        return kind != "torque"

    def is_home(self, task: str) -> bool:
        return (self.text["tasks"][task] or {}).get("only") == "back"

    def _before_task(self, task: str) -> set[str]:
        """What comes before a task of the way back: its fluids filled, its tasks undone or done."""
        found = {f"fill {fluid}" for fluid in named_behind(self.text, task, "fluids")}
        tasks = named_behind(self.text, task, "tasks")
        found |= {f"{kind} {n}" for n in tasks for kind in ("restore", "task")}
        found |= {f"task {n}" for n in self.text["tasks"][task].get("after") or []}
        return found & self.allowed

    def _may_follow(self, name: str) -> set[str]:
        """The first tasks that may be undone before a step, as a task of the way back asks for it."""
        return {
            f"restore {first}"
            for task in called(self.text, self.done)
            if any(step in self._following[task] for step in (name, *bead_before(name)))
            for first in named_behind(self.text, task, "tasks")
        }

    @cached_property
    def _following(self) -> dict[str, set[str]]:
        return {task: over(self, task) for task in called(self.text, self.done)}

    def _at(self, name: str, key: str) -> list[str]:
        """What the position asks for that a step is done from."""
        return (self.text["positions"][self.position_of(name)] or {}).get(key) or []

    def position_of(self, name: str) -> str:
        """Where a step of the way back is done from."""
        default = next(iter(self.text["positions"]))
        kind, _, thing = name.partition(" ")
        if kind == "restore":
            task = self.text["tasks"][thing]
            return (task["undo"] or {}).get("from", task.get("from", default))
        if kind == "task":
            return self.text["tasks"][thing].get("from", default)
        if kind in ("fill", "leak-check", "close"):
            return self.text["fluids"][thing]["drain" if kind == "close" else "fill"].get("from", default)
        of_part = self.part(thing.partition("/")[0]).get("from", default)
        if "/" not in thing:
            return of_part
        joint, where = self.joint(thing), self.joint(thing).get("from", of_part)
        fitted = (joint.get("fit") or {}).get("from", where)
        return torqued_from(joint, where) if kind == "torque" else fitted

    def _before_fill(self, fluid: str) -> set[str]:
        def wetted(name: str) -> bool:
            part = self.part_of(name)
            if part is None or name.startswith("seat "):
                return False
            path = name.partition(" ")[2]
            own = self.joint(path).get("wet") or [] if "/" in path else []
            return fluid in own or fluid in (self.part(part).get("wet") or [])

        return {name for name in self.allowed if wetted(name) or fluid in self._at(name, "drained")}
