"""Real machines of a type, made up: what differs between two of a kind, by a seed. Truths for ``like_type``.

Written down before any question was: what a mechanic meets who goes from one van to the next. A guard or tray
was left off, a bracket of some accessory is in the way, a cover has other screws or another number of them, a
hose is reached from below instead of above, one part has to go before another where last time it had not. All
of it is invented; how often is assumed: two to five differences in what the job touches, and up to four
where it goes nowhere.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from io import StringIO
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML

from sequencer.errors import SequencerError
from sequencer.graph import derive, goals, narrowed, parse_targets
from sequencer.machine import read_text
from sequencer.machine.expand import expanded
from sequencer.machine.model import Machine

EXTRAS = ("Heat shield", "Cable tray", "Filter bracket", "Horn bracket", "Splash plate", "Hose guide")
LEFT_OFF = (
    "guard",
    "cover",
    "tray",
    "shield",
    "trim",
    "clip",
    "bracket",
    "loom",
    "hatch",
    "panel",
    "cap",
    "stay",
)
HEADS = {"8": "10", "10": "8", "13": "12", "T25": "T30", "T30": "T25", "15": "16", "17": "18", "16": "17"}
KEYS = ("behind", "trapped_by")


@dataclass
class Variant:
    """One real machine: its file, and what of it is otherwise than in the type.

    Attributes:
        missing: Parts of the type that it has not got.
        counts: Other numbers of fasteners by ``part/joint``; ``heads`` other heads.
        places: Parts that are worked on from elsewhere.
        extras: By its label, a part that the type has not, and the part that it is in the way of.
        also: A part of the type that here is in the way of another, too.
    """

    data: dict[str, Any]
    missing: list[str] = field(default_factory=list)
    counts: dict[str, int] = field(default_factory=dict)
    heads: dict[str, str] = field(default_factory=dict)
    places: dict[str, str] = field(default_factory=dict)
    extras: dict[str, str] = field(default_factory=dict)
    also: dict[str, str] = field(default_factory=dict)

    @property
    def text(self) -> str:
        """The file."""
        out = StringIO()
        YAML().dump(
            self.data, out
        )  # not the safe one, which sorts names: the first position is where parts are
        return out.getvalue()

    @property
    def words(self) -> str:
        """What is otherwise, in a line."""
        lines = [f"no {one}" for one in self.missing]
        lines += [f"{path} ×{count}" for path, count in self.counts.items()]
        lines += [f"{path} {head}" for path, head in self.heads.items()]
        lines += [f"{part} from {place}" for part, place in self.places.items()]
        lines += [f"{label} over {part}" for label, part in self.extras.items()]
        lines += [f"{other} before {part}" for part, other in self.also.items()]
        return "; ".join(lines) or "as the type"


def variants(path: Path, target: str, touched: list[str], many: int = 5) -> Iterator[Variant]:
    """Machines of the type at ``path`` from which ``target`` comes off; ``touched`` are parts of that job."""
    text, seed = expanded(path).text, 0
    found = 0
    while found < many:
        seed += 1
        rng = random.Random(f"{path.stem} {target} {seed}")
        variant = _variant(YAML(typ="safe", pure=True).load(text), target, touched, rng)
        if (variant.missing or variant.extras or variant.also) and _works(variant.text, target):
            found += 1
            yield variant


def _works(text: str, target: str) -> bool:
    """A file without a fault, of a machine from which the target comes off."""
    reading = read_text(text)
    if reading.machine is None or reading.faults:
        return False
    graph = derive(reading.machine)
    try:
        narrowed(graph, goals(graph, parse_targets(reading.machine, [target])))
    except SequencerError:
        return False
    return True


def machine_of(variant: Variant) -> Machine:
    """The true machine."""
    machine = read_text(variant.text).machine
    assert machine is not None
    return machine


def _variant(data: dict[str, Any], target: str, touched: list[str], rng: random.Random) -> Variant:
    variant = Variant(data)
    parts = data["parts"]
    others = [name for name in parts if name not in touched]
    for names, least, most in ((touched, 2, 5), (others, 0, 4)):
        for _ in range(rng.randint(least, most) if names else 0):
            rng.choice((_leave_off, _leave_off, _count, _head, _add, _place, _relate))(
                variant, names, target, rng
            )
    return variant


def _leave_off(variant: Variant, names: list[str], target: str, rng: random.Random) -> None:
    there = [name for name in names if name in variant.data["parts"] and name != target]
    likely = [
        name for name in there if any(word in name for word in LEFT_OFF) and _carries_nothing(variant, name)
    ]
    if likely:
        gone = rng.choice(likely)
        if f" {gone} " in f" {' '.join(variant.also.values())} ":
            return
        del variant.data["parts"][gone]
        variant.data = _without(variant.data, gone)
        variant.missing.append(gone)


def _carries_nothing(variant: Variant, name: str) -> bool:
    """No joint of it has a torque: the machine would run without it."""
    joints = variant.data["parts"][name].get("joints") or {}
    return all("torque" not in joint for joint in joints.values() if isinstance(joint, dict))


def _without(value: Any, gone: str) -> Any:
    """Without a part's name, wherever something waits for it or is done for it."""
    if isinstance(value, list):
        return [_without(one, gone) for one in value if not _names(one, gone)]
    if isinstance(value, dict):
        kept = {
            key: _without(one, gone)
            for key, one in value.items()
            if key != "crack" or not _cracked(one, gone)
        }
        return {key: one for key, one in kept.items() if one != [] or value[key] == []}
    return value


def _cracked(value: Any, gone: str) -> bool:
    whiles = value.get("while", []) if isinstance(value, dict) else value
    return whiles in (gone, [gone])


def _names(one: Any, gone: str) -> bool:
    if isinstance(one, str):
        return one == gone or one.startswith(f"{gone}/")
    if isinstance(one, dict) and len(one) == 1:
        ((key, value),) = one.items()
        if key == "any":  # one of several will do, and one of them is clear
            return any(_names(other, gone) for other in value)
        return key == gone and isinstance(value, str)
    return False


def _joints(variant: Variant, names: list[str]) -> list[tuple[str, dict[str, Any]]]:
    parts = variant.data["parts"]
    return [
        (f"{name}/{key}", joint)
        for name in names
        if name in parts
        for key, joint in (parts[name].get("joints") or {}).items()
        if isinstance(joint, dict) and joint.get("head") is not None and "face" not in joint
    ]


def _count(variant: Variant, names: list[str], target: str, rng: random.Random) -> None:
    del target
    several = [one for one in _joints(variant, names) if one[1].get("count", 1) > 2 and "at" not in one[1]]
    several = [one for one in several if "order" not in str(one[1].get("torque")) and "order" not in one[1]]
    if several:
        path, joint = rng.choice(several)
        old = joint["count"]
        joint["count"] = new = max(2, old + rng.choice((-2, -1, 1, 2)))
        if new != old:
            variant.counts[path] = new


def _head(variant: Variant, names: list[str], target: str, rng: random.Random) -> None:
    del target
    known = [
        one for one in _joints(variant, names) if str(one[1]["head"]) in HEADS and "thread" not in one[1]
    ]
    known = known or [one for one in _joints(variant, names) if str(one[1]["head"]) in HEADS]
    if known:
        path, joint = rng.choice(known)
        if path not in variant.heads:
            joint["head"] = variant.heads[path] = HEADS[str(joint["head"])]


def _add(variant: Variant, names: list[str], target: str, rng: random.Random) -> None:
    """A bracket over a part: it has to be off before that can be reached."""
    del target
    parts = variant.data["parts"]
    there = [name for name in names if name in parts]
    label = rng.choice([one for one in EXTRAS if one not in variant.extras])
    key = label.lower().replace(" ", "-")
    if not there or key in parts or len(variant.extras) > 1:
        return
    over = rng.choice(there)
    place = parts[over].get("from")
    bolts = {"kind": "bolt", "head": rng.choice(("8", "10", "13")), "count": rng.randint(2, 4)}
    parts[key] = {"label": label, **({"from": place} if place else {}), "joints": {"bolts": bolts}}
    parts[over]["behind"] = [*_list(parts[over].get("behind")), key]
    variant.extras[label] = over


def _place(variant: Variant, names: list[str], target: str, rng: random.Random) -> None:
    """It is worked on from where another part is."""
    del target
    parts = variant.data["parts"]
    there = [name for name in names if name in parts]
    places = sorted({str(parts[name]["from"]) for name in there if parts[name].get("from")})
    moved = [name for name in there if not any(key in parts[name] for key in ("rides", "loose", "aside"))]
    if len(places) > 1 and moved:
        name = rng.choice(moved)
        first = next(iter(variant.data["positions"]))
        old = parts[name].get("from") or first
        new = rng.choice([one for one in places if one != old])
        if name not in variant.places:
            parts[name]["from"] = variant.places[name] = new


def _relate(variant: Variant, names: list[str], target: str, rng: random.Random) -> None:
    """A part of the job that is in the way here, where in the type it was beside it."""
    parts = variant.data["parts"]
    there = [name for name in names if name in parts and name != target]
    if len(there) < 3:
        return
    part, other = rng.sample(there, 2)
    kept = parts[part].get("behind")
    if other in _list(kept) or part in variant.also or not _list(parts[other].get("joints")):
        return
    parts[part]["behind"] = [*_list(kept), other]
    if _works(variant.text, target):
        variant.also[part] = other
    elif kept is None:
        del parts[part]["behind"]
    else:
        parts[part]["behind"] = kept


def _list(value: Any) -> list[Any]:
    return list(value) if isinstance(value, list | dict) else [] if value is None else [value]
