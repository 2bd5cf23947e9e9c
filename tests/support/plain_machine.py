"""A machine file as plain dictionaries, and the operations that the format page derives from it.

Nothing here imports the program: a fault in the program's reading must not hide itself. What the page
leaves to the program (default times by kind, a tool without a head) raises `NotFixedByThePage`.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML

from tests.support.home_tasks import called, parts_behind
from tests.support.plain_repeat import written_out

Tool = str | tuple[str, str]  # "hand", a declared tool's name, or ("head", its text)
Clause = frozenset[str]  # operations, one of which is asked for
Target = tuple[str, str]  # ("off", "P"), ("off", "P=loose"), ("reach", "P")

STATES = ("loose", "aside", "off")  # `fitted` comes before them all
INTO = {"loose": "loosen", "aside": "move-aside", "off": "remove"}
PACE = {"pick_up": 8, "put_down": 4, "swap": 7, "walk": 20}
LOCATING = {"clip", "hook", "latch", "dowel", "press fit", "taper"}
BEARING = {"bolt", "nut", "screw", "stud", "union", "clamp"}
HOLDING = LOCATING | BEARING
KILOS = {"kg": 1, "g": 0.001}
SECONDS = {"s": 1, "min": 60, "h": 3600}


class NotFixedByThePage(Exception):  # noqa: N818 - it says what it means
    """The file leaves something to the program's own defaults; give it in the file."""


@dataclass(frozen=True)
class Operation:
    """One operation; `seconds` of an undoing is for the whole joint, as if it had not been slackened."""

    name: str
    kind: str
    part: str | None
    joint: str | None
    position: str
    tool: Tool
    seconds: Fraction
    asks: tuple[Clause, ...]


@dataclass(frozen=True)
class Machine:
    """A machine file's meaning."""

    text: dict[str, Any]
    operations: dict[str, Operation]
    first: tuple[str, ...]  # operations
    cracks: dict[str, tuple[str, ...]]  # `crack P/J` -> the parts in `while`
    renewed: dict[str, tuple[str, ...]]  # an operation -> what joins the job for its sake, before it or after
    again: dict[str, tuple[str, Clause]]  # a second draining -> the first, and what the part goes off with
    start: str | None
    pace: dict[str, Fraction]
    ways: dict[tuple[str, str], Fraction]
    drives: dict[Tool, str | None]


def seconds(value: Any) -> Fraction:
    """A time as in the file: bare seconds, `30 s`, `2 min`, `1 h 30 min`."""
    if isinstance(value, int | float):
        return Fraction(str(value))
    words = str(value).split()
    if "to" in words:  # the geometric mean to the second
        at = words.index("to")
        low = words[:at] + ([] if at > 1 else words[-1:])
        square = seconds(" ".join(low)) * seconds(" ".join(words[at + 1 :]))
        return Fraction(math.floor(math.sqrt(square) + 0.5))
    if len(words) == 1:
        return Fraction(words[0])
    if len(words) % 2 or any(unit not in SECONDS for unit in words[1::2]):
        raise NotFixedByThePage(f"time {value!r}")
    return sum(
        (Fraction(n) * SECONDS[unit] for n, unit in zip(words[::2], words[1::2], strict=True)), Fraction(0)
    )


def kilos(weight: str) -> float:
    """A weight as in the file: `26 kg`, `600 g`."""
    figure, unit = weight.split()
    if unit not in KILOS:
        raise NotFixedByThePage(f"weight {weight!r}")
    return float(figure) * KILOS[unit]


def as_text(machine: dict[str, Any]) -> str:
    """The text of a machine file with this content."""
    yaml = YAML(typ="safe")
    yaml.sort_base_mapping_type_on_output = False  # type: ignore[assignment] # the first position is the default
    yaml.representer.ignore_aliases = lambda *_: True
    out = io.StringIO()
    yaml.dump(machine, out)
    return out.getvalue()


def as_data(text: str) -> dict[str, Any]:
    """What the text of a machine file says."""
    data: dict[str, Any] = YAML(typ="safe").load(text)
    return data


def load_machine(source: Path | str) -> Machine:
    """Read a machine from a path or from the text itself."""
    if isinstance(source, str) and "\n" not in source:
        source = Path(source)
    text = YAML(typ="safe").load(source.read_text("utf-8") if isinstance(source, Path) else source)
    return _Reader(written_out(text)).machine()


def drive_of_head(head: str) -> str:
    """Which drive a head's tool sits on. The page has an example of two sockets, the guide the names."""
    if re.fullmatch(r"[\d.]+( mm)?|[\d/ -]+ in|T\d+|E\d+|allen [\d./]+( mm| in)?", head):
        return "ratchet of the heads"
    if re.fullmatch(r"PH\d|PZ\d|slot.*", head):
        return "screwdriver of the heads"
    raise NotFixedByThePage(f"head {head!r}")


def torqued_from(joint: dict[str, Any], where: str) -> str:
    """The position that a joint gets its torque from; `where` is its own."""
    torque = joint.get("torque")
    own = torque.get("from") if isinstance(torque, dict) else None
    return own or (joint.get("fit") or {}).get("from", where)


def clauses(text: dict[str, Any], items: list[Any]) -> list[Clause]:
    """What `behind` or `trapped_by` asks for: of each clause one operation must have been done."""
    return [_clause(text, item) for item in items]


def _clause(text: dict[str, Any], item: Any) -> Clause:
    if isinstance(item, str):
        return frozenset({f"undo {item}"} if "/" in item else {f"remove {item}", *gone_with(text, item)})
    if len(item) != 1:
        raise NotFixedByThePage(f"several keys in {item!r}")
    ((key, value),) = item.items()
    if key == "any":
        return frozenset().union(*(_clause(text, one) for one in value))
    return at_least(text, key, value) | gone_with(text, key)


def carriers(text: dict[str, Any], part: str) -> list[str]:
    """What a part rides on, what that rides on, and so on."""
    found: list[str] = []
    while ride := (text["parts"][part] or {}).get("rides"):
        part = ride["on"]
        found.append(part)
    return found


def gone_with(text: dict[str, Any], part: str) -> Clause:
    """The removals that take a part with them, so that it is out of the way."""
    return frozenset(f"remove {other}" for other in carriers(text, part))


def carried(text: dict[str, Any], task: dict[str, Any]) -> list[str]:
    """What waits for a task that carries: what bears or locates its load, or the load itself."""
    found = []
    for part in task.get("carries") or []:
        joints = (text["parts"][part] or {}).get("joints") or {}
        found += [f"{part}/{j}" for j, how in joints.items() if how.get("kind") in HOLDING] or [part]
    return found


def hangs_by(text: dict[str, Any], carrier: str) -> list[tuple[str, str]]:
    """Of all that can ride on a part: each joint that is undone for it, with the rider."""
    return [
        (rider, joint)
        for rider, about in text["parts"].items()
        if carrier in carriers(text, rider)
        for joint in about.get("joints") or {}
        if joint not in about["rides"]["with"]
    ]


def at_least(text: dict[str, Any], part: str, state: str) -> Clause:
    """The operations that bring a part into a state or a later one; `off` every part has."""
    later = STATES[STATES.index(state) :]
    return frozenset(f"{INTO[s]} {part}" for s in later if s == "off" or s in text["parts"][part])


def goal(machine: Machine, targets: list[Target]) -> list[Clause]:
    """What the targets ask for."""
    asked: list[Clause] = []
    for verb, what in targets:
        if verb == "reach":
            asked += clauses(machine.text, machine.text["parts"][what].get("behind", []))
        else:
            part, _, state = what.partition("=")
            asked.append(at_least(machine.text, part, state or "off"))
    return asked


class _Reader:
    """Derives the operations of one file."""

    def __init__(self, text: dict[str, Any]) -> None:
        self.text = text
        self.parts = {name: part or {} for name, part in text["parts"].items()}
        self.tasks = text.get("tasks") or {}
        self.fluids = text.get("fluids") or {}
        self.tools = text.get("tools") or {}
        self.positions = list(text.get("positions") or {})
        if not self.positions:
            raise NotFixedByThePage("a file without positions")
        self.pace = {
            key: seconds((text.get("pace") or {}).get(key, default)) for key, default in PACE.items()
        }
        self.drives: dict[Tool, str | None] = {"hand": None}
        for tool, about in self.tools.items():
            drive = (about or {}).get("drive")
            owner = "of the heads" if drive in ("ratchet", "screwdriver") else "declared"
            self.drives[tool] = None if drive in (None, "none") else f"{drive} {owner}"
        self.first = tuple(f"task {task}" for task in text.get("first") or [])
        self.operations: dict[str, Operation] = {}
        self.cracks: dict[str, tuple[str, ...]] = {}
        self.again: dict[str, tuple[str, Clause]] = {}

    def machine(self) -> Machine:
        for task, about in self.tasks.items():
            if (about or {}).get("only") == "back":
                continue
            self._plain(f"task {task}", about or {})
            if (about.get("serves") or about.get("carries")) and "undo" in about:
                if about.get("carries") and any(
                    task in (of.get("after") or []) and "undo" in of for of in self.tasks.values()
                ):
                    continue  # another is done after it, and undone before: it stays
                undo = {key: about[key] for key in ("from", "tool", "time") if key in about}
                off = [
                    frozenset({f"remove {part}"}) | gone_with(self.text, part)
                    for part in about.get("carries") or []
                ]
                self._plain(
                    f"restore {task}", {**undo, **(about["undo"] or {})}, [frozenset({f"task {task}"}), *off]
                )
        for fluid, about in self.fluids.items():
            drain, name = about["drain"], f"drain {fluid}"
            self._plain(name, drain)
            last = drain.get("again_after") or (drain.get("plug") or {}).get("again_after")
            if last is not None:
                off = clauses(self.text, [last])[0]
                self._plain(f"{name} again", drain, [*self.operations[name].asks, frozenset({name}), off])
                self.again[f"{name} again"] = (name, off)
        for part in self.parts:
            self._part(part)
        named = {name for op in self.operations.values() for clause in op.asks for name in clause}
        if unknown := named - set(self.operations):
            raise NotFixedByThePage(f"names of nothing: {sorted(unknown)}")
        return Machine(
            self.text,
            self.operations,
            self.first,
            self.cracks,
            {name: tuple(more) for name in self.operations if (more := self._joining(name))},
            self.again,
            self.text.get("start"),
            self.pace,
            self._ways(),
            self.drives,
        )

    def _joining(self, name: str) -> list[str]:
        """What is renewed with a fluid; what the way back asks for where this is done."""
        fluid = name.removeprefix("drain ")
        about = self.fluids.get(fluid, {}) if name.startswith("drain ") else {}
        found = [f"remove {part}" for part in about.get("with") or []]
        for task in called(self.text, [name]):
            at_home = self.tasks[task]
            asks = clauses(self.text, parts_behind(self.text, task))
            asks += self._ready(at_home.get("from", self.positions[0]))
            asks += [frozenset({f"task {n}"}) for n in at_home.get("after") or []]
            found += [one for clause in asks if len(clause) == 1 for one in clause if one in self.operations]
        return [other for other in dict.fromkeys(found) if other != name]

    def _ways(self) -> dict[tuple[str, str], Fraction]:
        """Cheapest routes over moves of leaving, walking and entering (Floyd and Warshall, 1962)."""
        own = {frozenset(walk[:2]): seconds(walk[2]) for walk in self.text.get("walks") or []}
        at = {name: about or {} for name, about in self.text["positions"].items()}
        ways = {}
        for a, b in product(self.positions, repeat=2):
            walk = own.get(frozenset({a, b}), self.pace["walk"])
            move = seconds(at[a].get("leave", 0)) + walk + seconds(at[b].get("enter", 0))
            ways[a, b] = Fraction(0) if a == b else move
        for via, a, b in product(self.positions, repeat=3):
            ways[a, b] = min(ways[a, b], ways[a, via] + ways[via, b])
        return ways

    def _add(self, name: str, where: str, tool: Tool, time: Fraction, asks: list[Clause]) -> None:
        kind, _, thing = name.partition(" ")
        part, _, joint = thing.partition("/")
        if name not in self.first:
            asks = asks + [frozenset({task}) for task in self.first]
        asks = asks + self._ready(where)
        of_part = kind not in ("task", "drain", "restore")
        self.operations[name] = Operation(
            name,
            kind,
            part if of_part else None,
            joint or None,
            where,
            tool,
            time,
            tuple(dict.fromkeys(asks)),
        )

    def _plain(self, name: str, about: dict[str, Any], also: Iterable[Clause] = ()) -> None:
        """A task, its putting away, or a drain."""
        if "time" not in about:
            raise NotFixedByThePage(f"{name} without time")
        asks = [*clauses(self.text, about.get("behind") or []), *also]
        asks += [frozenset({f"task {task}"}) for task in about.get("after") or []]
        where = about.get("from", self.positions[0])
        if "undo" in about:  # it is all ready by then, since it was so before
            asks += self._ready((about["undo"] or {}).get("from", where))
        if name.startswith("drain "):
            fill = self.fluids[name.removeprefix("drain ").removesuffix(" again")].get("fill") or {}
            asks += [] if fill == "none" else self._ready(fill.get("from", self.positions[0]))
        self._add(
            name,
            where,
            self._named(about.get("tool", "hand")),
            seconds(about["time"]),
            asks,
        )

    def _ready(self, where: str) -> list[Clause]:
        """What must be done and drained before anybody works at a position."""
        about = self.text["positions"][where] or {}
        asks = [frozenset({f"task {task}"}) for task in about.get("needs") or []]
        return asks + [frozenset({f"drain {fluid}"}) for fluid in about.get("drained") or []]

    def _named(self, tool: str) -> str:
        if tool not in self.drives:
            raise NotFixedByThePage(f"tool {tool!r} is not declared")
        return tool

    def _tool(self, joint: dict[str, Any]) -> Tool:
        if "tool" in joint:
            return self._named(joint["tool"])
        if "head" in joint:
            head = str(joint["head"]).removesuffix(" mm")
            self.drives["head", head] = drive_of_head(head)
            return ("head", head)
        if joint.get("kind") == "connector":  # the page's own example pulls one without naming a tool
            return "hand"
        raise NotFixedByThePage(f"a joint without head and tool: {joint}")

    @staticmethod
    def _time(joint: dict[str, Any]) -> Fraction:
        if "time" in joint:
            return seconds(joint["time"])
        if "each" in joint:
            return seconds(joint["each"]) * int(joint.get("count", 1))
        raise NotFixedByThePage(f"a joint without time: {joint}")

    def _waits(self, thing: str, about: dict[str, Any]) -> list[Clause]:
        """The tasks that a part or joint waits for, told from either end."""
        needs = list(about.get("needs") or [])
        needs += [
            task
            for task, of in self.tasks.items()
            if any(thing in ((of or {}).get(key) or []) for key in ("before", "serves"))
            or thing in carried(self.text, of or {})
        ]
        return [frozenset({f"task {task}"}) for task in needs]

    @staticmethod
    def _wet(about: dict[str, Any]) -> list[Clause]:
        return [frozenset({f"drain {fluid}"}) for fluid in about.get("wet") or []]

    def _part(self, name: str) -> None:
        part = self.parts[name]
        where = part.get("from", self.positions[0])
        behind = clauses(self.text, part.get("behind") or [])
        waits, wet = self._waits(name, part), self._wet(part)
        joints = part.get("joints") or {}
        for joint, about in joints.items():
            self._joint(name, joint, {"from": where, **about}, behind + waits, wet)
        if "loose" in part:
            state = part["loose"] or {}
            asks = [frozenset({f"slacken {name}/{joint}"}) for joint in state.get("joints") or []]
            self._add(f"loosen {name}", where, "hand", seconds(state.get("time", 0)), asks + behind + waits)
        if "aside" in part:
            state = part["aside"] or {}
            asks = [frozenset({f"undo {name}/{joint}"}) for joint in state.get("joints") or []]
            self._add(
                f"move-aside {name}",
                where,
                "hand",
                seconds(state.get("time", 0)),
                asks + behind + waits + wet,
            )
        asks = [frozenset({f"undo {name}/{joint}"}) for joint in joints]
        asks += [frozenset({f"undo {r}/{joint}", f"remove {r}"}) for r, joint in hangs_by(self.text, name)]
        trapped = clauses(self.text, part.get("trapped_by") or [])
        self._add(
            f"remove {name}",
            where,
            "hand",
            seconds(part.get("time", 10)),
            asks + behind + trapped + waits + wet,
        )

    def _joint(
        self, part: str, joint: str, about: dict[str, Any], common: list[Clause], part_wet: list[Clause]
    ) -> None:
        thing = f"{part}/{joint}"
        where, tool, time = about["from"], self._tool(about), self._time(about)
        asks = common + clauses(self.text, about.get("behind") or []) + self._waits(thing, about)
        asks += self._ready((about.get("fit") or {}).get("from", where))
        asks += self._ready(torqued_from(about, where)) if "torque" in about else []
        wet = part_wet + self._wet(about)
        if "crack" in about:
            crack = about["crack"]
            own = seconds(crack["time"]) if "time" in crack else time / 3
            self._add(f"crack {thing}", where, tool, own, asks)  # nothing opens, so nothing spills: no `wet`
            self.cracks[f"crack {thing}"] = tuple(crack["while"])
        if joint in ((self.parts[part].get("loose") or {}).get("joints") or []):
            self._add(f"slacken {thing}", where, tool, time / 3, asks + wet)
        self._add(f"undo {thing}", where, tool, time, asks + wet)
