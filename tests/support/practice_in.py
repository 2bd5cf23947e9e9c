"""What the rules of good practice say of the way in alone."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from functools import cached_property

from tests.support.plain_machine import Machine, Tool
from tests.support.plain_rules import orderings, put_away
from tests.support.practice_reference import Done, Left, Reference, Sentence, family, in_a_run, in_order


class WayIn(Reference):
    """A fixed set of operations of the way in."""

    undo, away, aside = "undo", "remove", "move-aside"
    stays_up = True

    def __init__(self, machine: Machine, chosen: Collection[str]) -> None:
        super().__init__(machine, frozenset(chosen) | put_away(machine, chosen))
        self.pairs = orderings(machine, self.chosen)

    def possible(self, done: Done, name: str) -> bool:
        asks = self.machine.operations[name].asks
        return all(done & set(clause) for clause in asks) and all(
            a in done for a, b in self.pairs if b == name
        )

    def position_of(self, name: str) -> str:
        return self.machine.operations[name].position

    def part_of(self, name: str) -> str:
        return self.machine.operations[name].part

    def tool_of(self, name: str) -> Tool:
        return self.machine.operations[name].tool

    def apart(self, later: str, earlier: str) -> bool:
        return self.must_follow(later, earlier)

    def as_work(self, off_first: str, off_then: str) -> tuple[str, str]:
        return off_first, off_then

    @cached_property
    def in_the_file(self) -> list[str]:
        return [name for name in self.machine.operations if name in self.chosen]

    def sentences(self) -> Iterator[Sentence | Left]:
        yield from self.carried()
        parts = self.text["parts"]
        for name, about in parts.items():
            yield from self.hold(name, about)
        for name, about in parts.items():
            for joint, how in about.get("joints", {}).items():
                if "crack" in how:
                    yield from self._crack(f"{name}/{joint}", how["crack"]["while"])
        for name, about in parts.items():
            yield from self.seated(name, about.get("joints", {}))
        for name, about in self.tasks.items():
            yield from self.serves(name, about.get("serves") or [])

    def taken_for(self, carried: Sequence[str], load: set[str]) -> set[str]:  # noqa: ARG002 - the way back asks it
        return {name for name in self.chosen if self._takes_weight(name, load)}

    def _takes_weight(self, name: str, load: set[str]) -> bool:
        op = self.machine.operations[name]
        if op.part not in load:
            return False
        joints = self.text["parts"][op.part].get("joints", {})
        if all(family(how.get("kind")) > 1 for how in joints.values()):
            return True
        return op.kind in ("crack", "slacken", "undo") and family(joints[op.joint].get("kind")) < 2

    def held(self, part: str, away: str, paths: set[str]) -> Sentence:
        last = {f"undo {path}" for path in paths}
        off = {name for name in self.serving(paths) if name.startswith("restore ")}
        return in_a_run("hold", part, self.between(last, {away}), off | {away})

    def _crack(self, path: str, holders: list[str]) -> Iterator[Sentence | Left]:
        undo = f"undo {path}"
        pairs = set()
        for off in (f"remove {holder}" for holder in dict.fromkeys(holders) if undo in self.chosen):
            if off in self.chosen and self.must_follow(off, undo):
                yield ("crack", path, off)
            elif off in self.chosen:
                pairs.add((off, undo))
        if pairs:
            yield in_order("crack", path, pairs)

    def served(self, path: str) -> str | None:
        names = (f"{kind} {path}" for kind in ("crack", "slacken", "undo"))
        return next((name for name in names if name in self.chosen), None)
