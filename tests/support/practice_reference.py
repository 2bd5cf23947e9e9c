"""The rules of the way in read from the format page anew, and the least time under them.

The least time is found by trying everything.

A rule is a sentence about a step: given what is done before it and which step came last, may it come now? The
rules are told for the way in; the way back asks the same of an order read backwards.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from tests.support.plain_machine import BEARING, LOCATING, Machine
from tests.support.plain_rules import broken_loose, orderings, own_seconds, put_away, tool_seconds

RETAINING = {"ring", "key", "pin"}

May = Callable[[frozenset[str], str | None, str], bool]


@dataclass(frozen=True)
class Sentence:
    rule: str
    subject: str
    may: May


def family(kind: str | None) -> int:
    for number, kinds in enumerate((LOCATING, BEARING, RETAINING)):
        if kind in kinds:
            return number
    return 3


def things(text: dict[str, Any]) -> dict[str, None]:
    """Tasks, fluids and parts in the order of the file."""
    return dict.fromkeys(name for key in ("tasks", "fluids", "parts") for name in text.get(key) or {})


def directly(on: str, first: set[str], beside: set[str]) -> May:
    """After `on` nothing but what is beside it until the first of these."""
    return lambda done, _, name: on not in done or bool(first & done) or name in first | beside


def not_while(on: str | None, off: str, names: set[str]) -> May:
    """None of these between `on` (or the beginning) and `off`."""
    return lambda done, _, name: (on is not None and on not in done) or off in done or name not in names


class Job:
    """A fixed set of operations of the way in."""

    def __init__(self, machine: Machine, chosen: Collection[str]) -> None:
        self.machine = machine
        self.chosen = frozenset(chosen) | put_away(machine, chosen)
        chosen = self.chosen
        self.pairs = orderings(machine, chosen)

    def free(self, done: Collection[str], name: str) -> bool:
        done = set(done)
        asks = self.machine.operations[name].asks
        return all(done & set(clause) for clause in asks) and all(
            a in done for a, b in self.pairs if b == name
        )

    def without(self, left_out: str) -> set[str]:
        """All that can be done though one thing never is."""
        done: set[str] = set()
        while more := {n for n in self.chosen - done - {left_out} if self.free(done, n)}:
            done |= more
        return done

    def must_follow(self, later: str, earlier: str) -> bool:
        return later != earlier and later not in self.without(earlier)

    def sentences(self) -> Iterator[Sentence | tuple[str, str, str | None]]:
        """The rules in order of priority; a tuple is one that is left out from the beginning."""
        yield from self._carried()
        parts = self.machine.text["parts"]
        for name, about in parts.items():
            yield from self._hold(name, about)
        for name, about in parts.items():
            for joint, how in about.get("joints", {}).items():
                if "crack" in how:
                    yield from self._crack(f"{name}/{joint}", how["crack"]["while"])
        for name, about in parts.items():
            yield from self._seated(name, about.get("joints", {}))
        for name, about in (self.machine.text.get("tasks") or {}).items():
            yield from self._serves(name, about.get("serves") or [])

    def _seated(self, part: str, joints: dict[str, Any]) -> Iterator[Sentence | tuple[str, str, str | None]]:
        done = [j for j in joints if f"undo {part}/{j}" in self.chosen]
        for joint in done:
            if family(joints[joint].get("kind")) != 0:
                continue
            undo, before = f"undo {part}/{joint}", set()
            for other in (f"undo {part}/{j}" for j in done if family(joints[j].get("kind")) in (1, 2)):
                if self.must_follow(other, undo):
                    yield ("seated", f"{part}/{joint}", other)
                else:
                    before.add(other)
            if before:
                yield Sentence(
                    "seated",
                    f"{part}/{joint}",
                    lambda done, _, name, undo=undo, before=before: name != undo or before <= done,
                )

    def _serves(self, task: str, served: list[str]) -> Iterator[Sentence]:
        """On directly before the first joint, off directly after the last."""
        on, off, loose = f"task {task}", f"restore {task}", set(broken_loose(self.machine, self.chosen, task))
        if not loose:
            return
        beside = {
            f"{kind} {other}"
            for other, about in self.machine.text["tasks"].items()
            for kind in ("task", "restore")
            if other != task and set(about.get("serves") or []) & set(served)
        }
        waited = {n for n in self.chosen if any(self.must_follow(name, n) for name in loose)}

        def goes_on(done: frozenset[str], _: str | None, name: str) -> bool:
            return on not in done or bool(loose & done) or name in loose | beside

        def comes_off(done: frozenset[str], _: str | None, name: str) -> bool:
            if not loose & done:
                return True
            if loose <= done:
                return off not in self.chosen or off in done or name in {off} | beside
            return name in loose | waited | beside

        yield Sentence("serves", task, goes_on)
        if off in self.chosen or len(loose) > 1:
            yield Sentence("serves", task, comes_off)

    def _carried(self) -> Iterator[Sentence | tuple[str, str, str | None]]:
        tasks = {
            name: about
            for name, about in (self.machine.text.get("tasks") or {}).items()
            if about.get("carries") and not about.get("rated") and f"task {name}" in self.chosen
        }
        placing = {f"{kind} {name}" for name in tasks for kind in ("task", "restore")}
        for name, about in tasks.items():
            on, off = f"task {name}", f"restore {name}"
            load = {*about["carries"], *(part for part in about.get("before") or [])}
            first = {n for n in self.chosen if self._takes_weight(n, load)}
            beside = {n for n in placing if n.startswith("task ")}
            if first:
                yield Sentence("carried", name, directly(on, first, beside))
            below: dict[str, set[str]] = {}
            for other in (n for n in self.machine.operations if n in self.chosen):
                op = self.machine.operations[other]
                at = self.machine.text["positions"][op.position] or {}
                if not at.get("below") or op.part in load or other in placing:
                    continue
                if self.must_follow(other, on) and (off not in self.chosen or self.must_follow(off, other)):
                    yield ("carried", name, other)
                else:
                    below.setdefault(op.part or other.partition(" ")[2], set()).add(other)
            for names in (below[thing] for thing in things(self.machine.text) if thing in below):
                yield Sentence("carried", name, not_while(on, off, names))

    def _takes_weight(self, name: str, load: set[str]) -> bool:
        op = self.machine.operations[name]
        if op.part not in load:
            return False
        joints = self.machine.text["parts"][op.part].get("joints", {})
        if all(family(how.get("kind")) > 1 for how in joints.values()):
            return True
        return op.kind in ("crack", "slacken", "undo") and family(joints[op.joint].get("kind")) < 2

    def _hold(self, part: str, about: dict[str, Any]) -> Iterator[Sentence | tuple[str, str, str | None]]:
        joints = about.get("joints", {})
        undone = lambda names: [j for j in names if f"undo {part}/{j}" in self.chosen]  # noqa: E731
        if f"move-aside {part}" in self.chosen:
            away = f"move-aside {part}"
            mine = undone((about["aside"] or {}).get("joints", []))
            hangs = any(family(joints[j].get("kind")) == 1 for j in mine)
        else:
            away, mine, hangs = f"remove {part}", undone(joints), False
        heavy = float(str(about.get("weight", "0")).split()[0]) >= 3
        carried = any(part in of.get("carries", []) for of in (self.machine.text.get("tasks") or {}).values())
        held = about.get("hold", (heavy or hangs) and "rides" not in about and not carried)
        if away not in self.chosen or not mine or not held:
            return
        before = {n for n in self.chosen if self.must_follow(away, n)}
        last = [j for j in mine if not any(self.must_follow(n, f"undo {part}/{j}") for n in before)]
        best = min((family(joints[j].get("kind")) for j in last), default=3)
        if best == 3 and (not last or any(family(joints[j].get("kind")) < 3 for j in mine)):
            yield ("hold", part, None)
            return
        last = [j for j in last if family(joints[j].get("kind")) == best]
        where = self.machine.operations[f"remove {part}"].position
        own = [j for j in last if self.machine.operations[f"undo {part}/{j}"].position == where]
        names = {f"undo {part}/{j}" for j in own or last}
        off = {f"restore {task}" for task in self._serving({name.partition(" ")[2] for name in names})}
        yield Sentence(
            "hold", part, lambda done, _, name: not names <= done or away in done or name in off | {away}
        )

    def _serving(self, paths: set[str]) -> list[str]:
        tasks = self.machine.text.get("tasks") or {}
        return [task for task, about in tasks.items() if paths & set(about.get("serves") or [])]

    def _crack(self, path: str, holders: list[str]) -> Iterator[Sentence | tuple[str, str, str | None]]:
        undo = f"undo {path}"
        if undo not in self.chosen:
            return
        off = []
        for holder in dict.fromkeys(holders):
            if f"remove {holder}" in self.chosen:
                if self.must_follow(f"remove {holder}", undo):
                    yield ("crack", path, holder)
                else:
                    off.append(f"remove {holder}")
        if off:
            yield Sentence("crack", path, lambda done, _, name: name != undo or done.issuperset(off))

    def least(self, rules: Sequence[Sentence]) -> Fraction | None:
        """The least time of an order that keeps these rules; None if none does."""
        names = sorted(self.chosen)
        work = sum((own_seconds(self.machine, n, names) for n in names), Fraction(0))
        layer: dict[tuple[frozenset[str], str | None], Fraction] = {(frozenset(), None): work}
        for _ in names:
            following: dict[tuple[frozenset[str], str | None], Fraction] = {}
            for (done, last), cost in layer.items():
                for name in names:
                    if name in done or not self.free(done, name):
                        continue
                    if all(rule.may(done, last, name) for rule in rules):
                        key = (done | {name}, name)
                        new = cost + self._change(last, name)
                        if key not in following or new < following[key]:
                            following[key] = new
            layer = following
        return min(layer.values(), default=None)

    def _change(self, last: str | None, name: str) -> Fraction:
        machine, new = self.machine, self.machine.operations[name]
        old = None if last is None else machine.operations[last]
        tool = "hand" if old is None else old.tool
        position = machine.start if old is None else old.position
        move = machine.ways[position, new.position] if position is not None else Fraction(0)
        return tool_seconds(machine, tool, new.tool) + move

    def kept(self) -> tuple[list[Sentence], set[tuple[str, str]], Fraction]:
        """What is kept, what is not (rule and subject), and the least time under what is kept."""
        kept: list[Sentence] = []
        dropped: set[tuple[str, str]] = set()
        time = self.least(kept)
        assert time is not None
        for sentence in self.sentences():
            if isinstance(sentence, tuple):
                dropped.add(sentence[:2])
                continue
            with_it = self.least([*kept, sentence])
            if with_it is None:
                dropped.add((sentence.rule, sentence.subject))
            else:
                kept.append(sentence)
                time = with_it
        return kept, dropped, time


def breaches(job: Job, rules: Sequence[Sentence], order: Sequence[str]) -> list[str]:
    """The rules that an order breaks, in words."""
    found, done = [], set[str]()
    for last, name in zip((None, *order), order, strict=False):
        found += [
            f"{rule.rule} {rule.subject}: {name} after {last}"
            for rule in rules
            if not rule.may(frozenset(done), last, name)
        ]
        done.add(name)
    return found
