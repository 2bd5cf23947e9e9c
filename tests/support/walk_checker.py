"""Replays a job as it was really done, and says everything that is wrong with what was offered on the way.

A walk is a list of entries in the order in which they happened; the machine file may change on the way:

    {"machine": text, "targets": [...]}     what is known and wanted from here on
    {"plan": [operation, ...], "stuck": [target, ...]}   the plan for the rest of the way in
    {"offered": [operation, ...]}           what the program says can be done now
    {"done": operation}                     what is done, on the way in or on the way back
    {"turn": "back"}, {"turn": "in"}        from here on the other direction; "owed": joints without torque
    {"refit": [operation, ...]}             the plan for the rest of the way back

It imports nothing of the program.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from typing import Any

from tests.support.plain_machine import Machine, Target, goal, load_machine
from tests.support.plain_rules import cracks_called, orderings
from tests.support.refit_state import Aftermath

ANSWERS = {
    "remove": "fit",
    "move-aside": "move-back",
    "loosen": "seat",
    "undo": "fasten",
    "slacken": "tighten",
}


class WalkChecker:
    """The state of one walk and the faults found so far."""

    def __init__(self) -> None:
        self.faults: list[str] = []
        self.done: list[str] = []
        self.back: list[str] = []
        self.owed: list[str] = []
        self.plan: list[str] = []
        self.excuses: set[tuple[str, str]] = set()
        self.direction = "in"
        self.machine: Machine
        self.targets: list[Target] = []

    def replay(self, walk: Iterable[dict[str, Any]]) -> list[str]:
        for entry in walk:
            for key in ("machine", "plan", "offered", "done", "turn", "refit"):
                if key in entry:
                    getattr(self, f"_{key}")(entry)
        if self.direction == "back":
            self._whole()
        return self.faults

    # - The way in -------------------------------------------------------------------------------------------

    def _machine(self, entry: dict[str, Any]) -> None:
        self.machine = load_machine(entry["machine"])
        self.targets = entry["targets"]

    def met(self) -> set[str]:
        """What is done; a joint that was undone outright needs no slackening."""
        return self._with_slack(set(self.done))

    def _with_slack(self, done: set[str]) -> set[str]:
        slack = {name.replace("undo ", "slacken ", 1) for name in done if name.startswith("undo ")}
        return done | (slack & set(self.machine.operations))

    def late(self, done: Collection[str]) -> set[str]:
        """What can't be done any more."""
        gone = set()
        for op in self.machine.operations.values():
            if op.name in done:
                continue
            if any(first == op.name for first, _ in orderings(self.machine, {*done, op.name})):
                gone.add(op.name)
            own = f"crack {op.part}/{op.joint}"
            if op.kind in ("undo", "slacken") and own in self.machine.cracks and own not in done:
                same = {f"undo {op.part}/{op.joint}", f"slacken {op.part}/{op.joint}"}
                touched = {self.machine.operations[n].part for n in done if not n.startswith("crack ")}
                if not same & set(done) and touched & set(self.machine.cracks[own]):
                    gone.add(op.name)
        return gone

    def _can(self, name: str, done: set[str], ahead: Collection[str]) -> list[str]:
        """What is wrong with doing this now, when `ahead` is still to come."""
        op = self.machine.operations[name]
        faults = [f"{name}: not one of {sorted(c)} is done" for c in op.asks if c.isdisjoint(done)]
        if name in done:
            faults.append(f"{name}: done already")
        if name in self.late(done):
            faults.append(f"{name}: too late")
        cracks = cracks_called(self.machine, {*done, *ahead, name}) - done - {name}
        for crack in cracks & self._still(done):
            if (crack, name) in orderings(self.machine, {crack, name}):
                faults.append(f"{name}: {crack} comes first")
        return faults

    def _still(self, done: Collection[str]) -> set[str]:
        """Cracks that are not pointless: their joint is not undone or slackened yet."""
        return {
            crack
            for crack in self.machine.cracks
            if not {crack.replace("crack", "undo", 1), crack.replace("crack", "slacken", 1)} & set(done)
        }

    def _plan(self, entry: dict[str, Any]) -> None:
        self.plan = list(entry["plan"])
        done = self.met()
        faults = []
        for place, name in enumerate(self.plan):
            faults += [f"plan: {fault}" for fault in self._can(name, done, self.plan[place + 1 :])]
            done = self._with_slack({*done, name})
        stuck = [tuple(target) for target in entry.get("stuck", ())]
        for target in self.targets:
            reached = all(not clause.isdisjoint(done) for clause in goal(self.machine, [target]))
            if tuple(target) in stuck:
                if self.reachable(target):
                    faults.append(f"plan: {target} is said to be stuck, and can be reached")
            elif not reached:
                faults.append(f"plan: {target} is lost")
        for drain in done & set(self.machine.renewed):
            for name in set(self.machine.renewed[drain]) - done:
                if name.startswith("remove ") and self.reachable(("off", name.removeprefix("remove "))):
                    faults.append(f"plan: {name} is not renewed with {drain}")
        self.faults += faults

    def reachable(self, target: Target) -> bool:
        """Whether all that can still be done reaches the target, cracks in their time included."""
        asked = goal(self.machine, [target])

        def reached(banned: set[str]) -> bool:
            return all(not clause.isdisjoint(self._all_but(banned)) for clause in asked)

        if not reached(set()):
            return False
        done = self.met()
        for crack, holders in self.machine.cracks.items():
            undoing = {crack.replace("crack", kind, 1) for kind in ("undo", "slacken")}
            touching = {op.name for op in self.machine.operations.values() if op.part in holders} - {crack}
            both_called = not reached(undoing) and not reached(touching)
            if crack not in done and both_called and crack not in self._all_but(undoing | touching):
                return False  # it would have to be cracked before what it waits for
        return True

    def _all_but(self, banned: set[str]) -> set[str]:
        """Everything that is done once all that can be done without these is done."""
        done = self.met()
        barred = self.late(done) | banned
        operations = self.machine.operations.values()
        while True:
            waiting = [op for op in operations if op.name not in done and op.name not in barred]
            free = {op.name for op in waiting if all(not c.isdisjoint(done) for c in op.asks)}
            if not free:
                return done
            done |= free

    def _offered(self, entry: dict[str, Any]) -> None:
        for name in entry["offered"]:
            self.faults += [f"offered: {fault}" for fault in self._now(name)]

    def _now(self, name: str) -> list[str]:
        if self.direction == "in":
            ahead = [n for n in self.plan if n != name]
            return self._can(name, self.met(), ahead)
        return self._back_faults(name, self.left())

    def _done(self, entry: dict[str, Any]) -> None:
        name = entry["done"]
        self.faults += [f"done: {fault}" for fault in self._now(name)]
        if self.direction == "in":
            self.done.append(name)
            self.plan = [n for n in self.plan if n != name]
        else:
            self.back.append(name)

    # - The way back -----------------------------------------------------------------------------------------

    def _turn(self, entry: dict[str, Any]) -> None:
        self.direction = entry["turn"]
        if self.direction == "back":
            self.owed = list(entry.get("owed", ()))
            self.back = []
        else:
            self._apart_again()

    def _apart_again(self) -> None:
        """What was put back is not done any more."""
        self.excuses |= self.against()
        back = set(self.back)
        after = self.after()
        open_ = {n.partition(" ")[2] for n in after.required - back if n.startswith("torque ")}
        fastened = {n.partition(" ")[2] for n in back if n.split(" ")[0] in ("fasten", "tighten")}
        self.owed = sorted(
            {*self.owed, *(open_ & fastened)} - {n[7:] for n in back if n.startswith("torque ")}
        )
        self.done = [name for name in self.done if not self._is_back(name, back, after)]
        self.back = []

    @staticmethod
    def _is_back(name: str, back: set[str], after: Aftermath) -> bool:
        kind, _, thing = name.partition(" ")
        match kind:
            case "task":
                return f"restore {thing}" in back
            case "drain":
                return f"fill {thing}" in back
            case "crack":
                return bool({f"torque {thing}", f"retighten {thing}"} & back)
        own = f"{ANSWERS[kind]} {thing}"
        if kind == "slacken" and f"seat {thing.partition('/')[0]}" in after.required:
            return own in back  # what was slackened to seat the part is tightened after that
        if kind == "loosen" and own not in back:
            joints = (after.part(thing).get("loose") or {}).get("joints") or []
            undone = {f"fasten {thing}/{joint}" for joint in joints if f"undo {thing}/{joint}" in after.done}
            if undone - back:
                return False  # in its place, and loose as long as nothing holds it there
        later = {"move-aside": ("fit",), "loosen": ("move-back", "fit"), "slacken": ("fasten",)}.get(kind, ())
        return own in back or (own not in after.required and any(f"{word} {thing}" in back for word in later))

    def after(self) -> Aftermath:
        return Aftermath(self.machine, tuple(self.done))

    def left(self) -> set[str]:
        """What is still to do on the way back."""
        owed = {f"torque {path}" for path in self.owed if "torque" in self.after().joint(path)}
        return {*self.after().allowed, *owed} - set(self.back)

    def _required(self) -> set[str]:
        return {*self.after().required, *(f"torque {path}" for path in self.owed)} - set(self.back)

    def _back_faults(self, name: str, left: set[str]) -> list[str]:
        """What is wrong with this step of the way back when it and the others in `left` are to come."""
        after = self.after()
        if name not in left:
            return [f"{name}: not to be done"]
        rest = left - {name}
        needed = rest & self._required()
        if name.startswith("seal "):
            return []
        faults = [f for f in after._covered(name, rest) if not self._excused(f)]
        earlier = after.earlier.get(name, set())
        return faults + [f"{name}: before {other}" for other in sorted(earlier & needed)]

    def _excused(self, fault: str) -> bool:
        """Whether the teardown itself has gone against this: the file learned of it only later."""
        name, _, item = fault.partition(": ")
        self.excuses |= self.against()
        return (name, item) in self.excuses

    def against(self) -> set[tuple[str, str]]:
        """The steps back whose way in was done while the file's present needs were not met."""
        after = self.after()
        found = set()
        place = {name: number for number, name in enumerate(self.done)}
        for name in self.done:
            kind, _, thing = name.partition(" ")
            if kind not in ANSWERS and kind != "crack":
                continue
            done = set(self.done[: place[name]])
            items = list(after.part(thing.partition("/")[0]).get("behind") or [])
            items += (after.joint(thing).get("behind") or []) if "/" in thing else []
            items += after.part(thing).get("trapped_by") or [] if kind == "remove" else []
            for item in items:
                clause = goal_of(self.machine, item)
                if clause.isdisjoint(done):
                    words = {ANSWERS.get(kind, "retighten"), "torque"}
                    found |= {(f"{word} {thing}", f"{item} is in front") for word in words}
        return found

    def _refit(self, entry: dict[str, Any]) -> None:
        left = self.left()
        names = entry["refit"]
        missing = self._required() - set(names)
        self.faults += [f"refit: {name} is missing" for name in sorted(missing)]
        for place, name in enumerate(names):
            if name not in left:
                self.faults.append(f"refit: {name}: nothing asks for it")
                continue
            later = set(names[place:])
            self.faults += [f"refit: {fault}" for fault in self._back_faults(name, later)]

    def _whole(self) -> None:
        missing = self._required()
        self.faults += [f"end: {name} was never done" for name in sorted(missing)]


def goal_of(machine: Machine, item: Any) -> frozenset[str]:
    """The operations of which one makes an item of `behind` clear."""
    from tests.support.plain_machine import clauses

    return clauses(machine.text, [item])[0]


def check_walk(walk: Sequence[dict[str, Any]]) -> list[str]:
    """All faults of a walk; an empty list for a good one."""
    return WalkChecker().replay(walk)
