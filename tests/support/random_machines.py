"""Small machines made at random from a number: every word of the format page turns up, all times are given.

Parts mostly wait for earlier parts only, so that most machines come apart; a few hold circles and do not.
"""

from __future__ import annotations

import random
from typing import Any

from tests.support.plain_machine import Target, as_text
from tests.support.random_way_back import FASTENERS, TIMES, add_waits, add_way_back

PARTS = ("cover", "belt", "pulley", "bracket", "pump", "shield", "mount", "carrier")
POSITIONS = ("bench", "under", "left", "right")
BRIEF = ("0 s", 0, "3 s", "10 s", "20 s")


def random_machine(
    seed: int, size: int = 3, *, torques: bool = False, waits: bool = False
) -> tuple[str, list[Target]]:
    """A machine of `size` parts (at most 8) as YAML, and targets for it; the same for the same number.

    With `torques` the same machine has some, and says more about how its fluids and tasks go back; with
    `waits` some of them wait until something is back, which not every job has room for.
    """
    maker = _Maker(random.Random(seed), size)
    machine = maker.machine(f"Machine by chance, number {seed}")
    if torques:
        add_way_back(seed, machine)
    if waits:
        add_waits(random.Random(f"when {seed}"), machine)
    return as_text(machine), maker.targets()


class _Maker:
    def __init__(self, rng: random.Random, size: int) -> None:
        self.rng = rng
        self.names = PARTS[:size]
        self.positions = POSITIONS[: rng.randint(2, 4)]
        self.parts: dict[str, dict[str, Any]] = {}

    def chance(self, share: float) -> bool:
        return self.rng.random() < share

    def machine(self, name: str) -> dict[str, Any]:
        rng = self.rng
        machine: dict[str, Any] = {"machine": name, "about": "Invented by a random number."}
        if self.chance(0.6):
            machine["start"] = rng.choice(self.positions)
        if pace := self._pace():
            machine["pace"] = pace
        machine["positions"] = {position: self._position(position) for position in self.positions}
        pairs = [[a, b] for i, a in enumerate(self.positions) for b in self.positions[i + 1 :]]
        walks = [
            [*rng.sample(pair, 2), rng.choice(("5 s", 15, "30 s", "1 min", "0 s"))]
            for pair in pairs
            if self.chance(0.5)
        ]
        if walks:
            machine["walks"] = walks
        self.tools = self._tools()
        machine["tools"] = self.tools
        for index, part in enumerate(self.names):
            self._part(index, part)
        for name in self.names:
            self._crack(name)
        fluids = {fluid: self._fluid(fluid) for fluid in ("oil", "coolant") if self.chance(0.3)}
        if fluids:
            machine["fluids"] = fluids
        tasks = {task: self._task(task) for task in ("isolate", "prop", "mark") if self.chance(0.35)}
        if tasks:
            machine["tasks"] = tasks
            first = [task for task in tasks if "behind" not in tasks[task] and self.chance(0.35)]
            if first:
                machine["first"] = first
        machine["parts"] = self.parts
        return machine

    def targets(self) -> list[Target]:
        found: list[Target] = []
        later = list(self.names[len(self.names) // 2 :])
        for part in self.rng.sample(later, min(len(later), self.rng.choice((1, 1, 2, 3)))):
            verb = self.rng.choices(("off", "state", "reach"), (6, 2, 2))[0]
            if verb == "state":
                found.append(("off", f"{part}={self.rng.choice(('loose', 'aside', 'off'))}"))
            else:
                found.append((verb, part))
        return found

    def _pace(self) -> dict[str, Any]:
        if self.chance(0.2):
            return {"pick_up": 2, "put_down": "1 s", "swap": self.rng.choice((5, "12 s")), "walk": 10}
        pace = {
            "pick_up": self.rng.choice((8, "6 s")),
            "put_down": self.rng.choice((4, 0)),
            "swap": 7,
            "walk": "20 s",
        }
        return {key: value for key, value in pace.items() if self.chance(0.6)}

    def _position(self, name: str) -> dict[str, Any]:
        about: dict[str, Any] = {"label": f"Standing {name}"}
        for way in ("enter", "leave"):
            if self.chance(0.35):
                about[way] = self.rng.choice(("10 s", 45, "1 min 30 s"))
        return about

    def _tools(self) -> dict[str, dict[str, Any]]:
        tools: dict[str, dict[str, Any]] = {"long-bar": {"label": "Long flex bar", "drive": "none"}}
        if self.chance(0.6):
            tools["puller"] = {"label": "Puller"}
        if self.chance(0.6):
            tools["cup"] = {"label": "Cup on the air line", "drive": "air-line"}
            tools["blade"] = {"label": "Blade on the air line", "drive": "air-line"}
        return tools

    def _thing(self, parts: tuple[str, ...]) -> Any:
        """One item of `behind`: a part, a state or a joint."""
        part = self.rng.choice(parts)
        form = self.rng.choices(("part", "state", "joint"), (3, 5, 2))[0]
        if form == "state":
            has = [state for state in ("loose", "aside") if state in self.parts.get(part, {})]
            return {
                part: self.rng.choice(has)
                if has and self.chance(0.8)
                else self.rng.choice(("loose", "aside", "off"))
            }
        joints = list(self.parts.get(part, {}).get("joints", {}))
        return f"{part}/{self.rng.choice(joints)}" if form == "joint" and joints else part

    def _behind(self, index: int, most: int = 1) -> list[Any]:
        """Mostly earlier parts; now and then any other, at the risk of a circle."""
        parts = self.names[:index]
        if self.chance(0.04):
            parts = tuple(name for name in self.names if name != self.names[index % len(self.names)])
        if not parts:
            return []
        items = []
        for _ in range(self.rng.randint(1, most)):
            if self.chance(0.4):
                items.append({"any": [self._thing(parts) for _ in range(self.rng.randint(2, 3))]})
            else:
                items.append(self._thing(parts))
        return items

    def _put(self, about: dict[str, Any], key: str, share: float, value: Any) -> None:
        if self.chance(share) and value:
            about[key] = value

    def _part(self, index: int, name: str) -> None:
        part: dict[str, Any] = {}
        self.parts[name] = part
        self._put(part, "from", 0.4, self.rng.choice(self.positions))
        self._put(part, "behind", 0.5, self._behind(index, 2))
        self._put(part, "trapped_by", 0.3, self._behind(index))
        self._put(part, "time", 0.6, self.rng.choice(BRIEF))
        joints: dict[str, dict[str, Any]] = {}
        part["joints"] = joints
        for joint in ("near", "far", "low")[: self.rng.choice((1, 1, 2, 2, 2, 3))]:
            joints[joint] = self._joint(index, name, list(joints))
        for state, share in (("loose", 0.6), ("aside", 0.4)):
            if self.chance(share):
                some = [joint for joint in joints if self.chance(0.6)]
                part[state] = {"joints": some} if some else {}
                self._put(part[state], "time", 0.6, self.rng.choice(BRIEF))
        free = [joint for joint in joints if joint not in part.get("loose", {}).get("joints", [])]
        if (
            "loose" in part and free and self.chance(0.1)
        ):  # the part swings, and only then shows its last joint
            joints[free[-1]]["behind"] = [{name: "loose"}]

    def _joint(self, index: int, part: str, before: list[str]) -> dict[str, Any]:
        rng = self.rng
        if self.chance(0.25):
            kind = rng.choice(("connector", "clip", "hose", "clamp", "seal"))
            joint: dict[str, Any] = {"kind": kind, "tool": rng.choice(("hand", *self.tools))}
        else:
            kind, heads = rng.choice(FASTENERS)
            joint = {"kind": kind, "head": rng.choice(heads)}
            self._put(joint, "tool", 0.1, rng.choice(tuple(self.tools)))
        if self.chance(0.35):
            joint |= {"count": rng.randint(2, 5), "each": rng.choice(("4 s", 7.5, "10 s"))}
        else:
            joint["time"] = rng.choice(TIMES) if self.chance(0.95) else "0 s"
        self._put(joint, "from", 0.35, rng.choice(self.positions))
        self._put(joint, "behind", 0.25, self._behind(index))
        if before and "behind" not in joint and self.chance(0.2):
            joint["behind"] = [f"{part}/{rng.choice(before)}"]
        return joint

    def _crack(self, name: str) -> None:
        """While a later part still holds it, or one that traps the part."""
        if not self.chance(0.35):
            return
        trapping = [
            item
            for item in self.parts[name].get("trapped_by", [])
            if isinstance(item, str) and "/" not in item
        ]
        holding = trapping or list(self.names[self.names.index(name) + 1 :])
        if holding:
            crack: dict[str, Any] = {
                "while": self.rng.sample(holding, min(len(holding), self.rng.choice((1, 1, 2))))
            }
            self._put(crack, "time", 0.6, self.rng.choice(("6 s", 20)))
            self.rng.choice(list(self.parts[name]["joints"].values()))["crack"] = crack

    def _fluid(self, fluid: str) -> dict[str, Any]:
        rng = self.rng
        drain: dict[str, Any] = {"time": rng.choice(("2 min", "50 s"))}
        self._put(drain, "from", 0.6, rng.choice(self.positions))
        self._put(drain, "tool", 0.6, rng.choice(tuple(self.tools)))
        index = rng.randrange(len(self.names))
        self._put(drain, "behind", 0.4, self._behind(index))
        self._mark("wet", fluid, index if "behind" in drain else 0)
        return {"volume": "1.2 L", "drain": drain, "fill": {"time": "4 min"}}

    def _mark(self, key: str, what: str, index: int) -> None:
        """Write `wet` or `needs` on a part or joint that is not before the index."""
        part = self.parts[self.rng.choice(self.names[index:])]
        on = self.rng.choice(list(part["joints"].values())) if self.chance(0.4) else part
        on.setdefault(key, []).append(what)

    def _task(self, task: str) -> dict[str, Any]:
        rng = self.rng
        about: dict[str, Any] = {"label": f"Do: {task}", "time": rng.choice(("30 s", "2 min", 0))}
        self._put(about, "from", 0.6, rng.choice(self.positions))
        self._put(about, "tool", 0.4, rng.choice(tuple(self.tools)))
        index = rng.randrange(len(self.names))
        self._put(about, "behind", 0.3, self._behind(index))
        self._put(about, "undo", 0.5, {"time": "1 min"})
        index = index if "behind" in about else 0
        if self.chance(0.5):
            self._mark("needs", task, index)
        else:
            part = rng.choice(self.names[index:])
            joint = rng.choice(list(self.parts[part]["joints"]))
            about["before"] = [f"{part}/{joint}" if self.chance(0.4) else part]
        return about
