"""The rules of good practice read from the format page anew, and the least time under them.

The least time is found by trying everything. A rule is a sentence about a step: given what is done before it
and which step came last, may it come now? Both ways are looked at in the order of work; what one way says
differently is in ``practice_in`` and ``practice_back``.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Any

from tests.support.plain_machine import BEARING, LOCATING, Machine, Tool, kilos
from tests.support.plain_rules import tool_seconds

RETAINING = {"ring", "key", "pin"}

Done = frozenset[str]

May = Callable[[Done, str | None, str], bool]

Left = tuple[str, str, str | None]
"""Rule and subject that are left out from the beginning, and what for."""


@dataclass(frozen=True)
class Sentence:
    """What a rule says at one part or joint.

    Attributes:
        sends: Whether it tells where to go next once so much is done; who goes there does not walk off.
        order: Whether it says only that one step comes after others.
        stays: Whether it says that nobody walks off.
        together: Steps that wait for what any of them waits for.
    """

    rule: str
    subject: str
    may: May
    sends: Callable[[Done], bool] | None = None
    order: bool = False
    stays: bool = False
    together: Done = frozenset()


def family(kind: str | None) -> int:
    for number, kinds in enumerate((LOCATING, BEARING, RETAINING)):
        if kind in kinds:
            return number
    return 3


def things(text: dict[str, Any]) -> dict[str, None]:
    """Tasks, fluids and parts in the order of the file."""
    return dict.fromkeys(name for key in ("tasks", "fluids", "parts") for name in text.get(key) or {})


def in_order(rule: str, subject: str, pairs: Collection[tuple[str, str]]) -> Sentence:
    """The first of each pair before the second."""
    return Sentence(
        rule,
        subject,
        lambda done, _, name: all(a in done for a, b in pairs if b == name),
        order=True,
    )


def in_a_run(rule: str, subject: str, begun: Callable[[Done], bool], may: Collection[str]) -> Sentence:
    """Once begun, nothing but these."""
    return Sentence(rule, subject, lambda done, _, name: not begun(done) or name in may, begun)


class Reference(ABC):
    """A fixed set of operations of one way."""

    undo: str
    """What is done to a joint."""
    away: str
    """What is done to a part."""
    aside: str
    """What is done to a part that goes aside."""

    def __init__(self, machine: Machine, chosen: Collection[str]) -> None:
        self.machine = machine
        self.text = machine.text
        self.tasks: dict[str, Any] = machine.text.get("tasks") or {}
        self.chosen = frozenset(chosen)
        self.so_far: list[Sentence] = []
        """The sentences that are kept so far."""
        self._free: dict[Done, list[str]] = {}

    @abstractmethod
    def possible(self, done: Done, name: str) -> bool:
        """Whether the machine lets a step come next."""

    @abstractmethod
    def position_of(self, name: str) -> str:
        """Where it is done."""

    @abstractmethod
    def part_of(self, name: str) -> str:
        """What part it is work on; empty if none."""

    @abstractmethod
    def tool_of(self, name: str) -> Tool:
        """What is in hand for it."""

    @abstractmethod
    def sentences(self) -> Iterator[Sentence | Left]:
        """The rules in order of priority."""

    def free(self, done: Done) -> list[str]:
        """What can be done next."""
        if done not in self._free:
            self._free[done] = [n for n in sorted(self.chosen - done) if self.possible(done, n)]
        return self._free[done]

    @cached_property
    def alive(self) -> set[Done]:
        """What can have been done on a way that comes to its end."""
        layers: list[set[Done]] = [{frozenset()}]
        for _ in self.chosen:
            layers.append({done | {name} for done in layers[-1] for name in self.free(done)})
        found = layers[-1]
        for layer in reversed(layers[:-1]):
            found = found | {done for done in layer if any(done | {n} in found for n in self.free(done))}
        return found

    @cached_property
    def _behind(self) -> dict[str, set[str]]:
        """For each operation what is done before it in every order."""
        behind = {name: set(self.chosen) - {name} for name in self.chosen}
        for done in self.alive:
            for name in self.free(done):
                if done | {name} in self.alive:
                    behind[name] &= done
        return behind

    def must_follow(self, later: str, earlier: str) -> bool:
        return earlier in self._behind[later]

    def _kept_behind(self, names: Collection[str]) -> Done:
        """What is done before one of these in every order that keeps the rules so far."""
        rules = [rule for rule in self.so_far if not rule.stays]
        layer: set[Done] = {frozenset()}
        layers = [layer]
        for _ in self.chosen:
            layer = {
                done | {n} for done in layer for n in self.free(done) if in_turn(rules, done, self.meant(n))
            }
            layers.append(layer)
        ends = layers[-1]
        behind = {name: self.chosen - {name} for name in names}
        for layer in reversed(layers[:-1]):
            steps = [(done, n) for done in layer for n in self.free(done) if done | {n} in ends]
            steps = [(done, n) for done, n in steps if in_turn(rules, done, self.meant(n))]
            for done, name in steps:
                if name in behind:
                    behind[name] &= done
            ends = {done for done, _ in steps}
        return frozenset().union(*behind.values())

    @abstractmethod
    def apart(self, later: str, earlier: str) -> bool:
        """Whether one comes off only after another, whichever way is gone."""

    def serving(self, paths: Collection[str]) -> set[str]:
        """The steps at the helpers of some joints."""
        return {
            f"{kind} {task}"
            for task, about in self.tasks.items()
            if not set(paths).isdisjoint(about.get("serves") or [])
            for kind in ("task", "restore")
        }

    # ---- Rules that both ways have -----------------------------------------------------------------------

    def carried(self) -> Iterator[Sentence | Left]:
        tasks = {
            name: about
            for name, about in self.tasks.items()
            if about.get("carries")
            and not about.get("rated")
            and not self.chosen.isdisjoint({f"task {name}", f"restore {name}"})
        }
        placing = {f"{kind} {name}" for name in tasks for kind in ("task", "restore")}
        for name, about in tasks.items():
            on = f"task {name}"
            load = {*about["carries"], *(about.get("before") or [])}
            first = self.taken_for(about["carries"], load)
            beside = {n for n in placing if n.startswith("task ")}
            if on in self.chosen and first:
                yield in_a_run("carried", name, self.between({on}, first), first | beside)
            yield from self._below(name, load, placing)

    @staticmethod
    def between(start: set[str], end: set[str]) -> Callable[[Done], bool]:
        """After all of the first, before any of the second."""
        return lambda done: start <= done and not end & done

    @abstractmethod
    def taken_for(self, carried: Sequence[str], load: set[str]) -> set[str]:
        """What a weight is taken for: the first of it comes directly after."""

    def _below(self, task: str, load: set[str], placing: set[str]) -> Iterator[Sentence | Left]:
        on, off = f"task {task}", f"restore {task}"
        placed, put_away = on in self.chosen, off in self.chosen
        if not put_away and not self.stays_up:
            return
        below: dict[str, set[str]] = {}
        for other in sorted(self.chosen, key=self.in_the_file.index):
            at = self.text["positions"][self.position_of(other)] or {}
            part = self.part_of(other)
            if not at.get("below") or part in load or other in placing or other.startswith("seal "):
                continue
            late = not placed or self.must_follow(other, on)
            if late and (not put_away or self.must_follow(off, other)):
                yield ("carried", task, other)
            else:
                below.setdefault(part or other.partition(" ")[2], set()).add(other)
        for names in (below[thing] for thing in things(self.text) if thing in below):
            yield Sentence(
                "carried",
                task,
                lambda done, _, name, names=names: (  # type: ignore[misc] # a default that binds
                    name not in names or (placed and on not in done) or off in done
                ),
                order=not (placed and put_away),
            )

    stays_up = False
    """Whether what carries may stay where it is."""

    @cached_property
    def in_the_file(self) -> list[str]:
        """The steps in some sequence that is always the same."""
        return sorted(self.chosen)

    def hold(self, part: str, about: dict[str, Any]) -> Iterator[Sentence | Left]:
        joints = about.get("joints", {})
        aside = f"{self.aside} {part}" in self.chosen
        away = f"{self.aside if aside else self.away} {part}"
        names = (about["aside"] or {}).get("joints", []) if aside else list(joints)
        mine = [j for j in names if f"{self.undo} {part}/{j}" in self.chosen]
        hangs = aside and any(family(joints[j].get("kind")) == 1 for j in mine)
        heavy = kilos(about.get("weight", "0 kg")) >= 3
        carried = any(part in of.get("carries", []) for of in self.tasks.values())
        held = about.get("hold", (heavy or hangs) and "rides" not in about and not carried)
        if away not in self.chosen or not mine or not held:
            return
        waited = {n for n in self.chosen if self.apart(away, n)}
        last = [j for j in mine if not any(self.apart(n, f"{self.undo} {part}/{j}") for n in waited)]
        best = min((family(joints[j].get("kind")) for j in last), default=3)
        if best == 3 and (not last or any(family(joints[j].get("kind")) < 3 for j in mine)):
            yield ("hold", part, None)
            return
        last = [j for j in last if family(joints[j].get("kind")) == best]
        where = self.position_of(f"{self.away} {part}")
        own = [j for j in last if self.position_of(f"{self.undo} {part}/{j}") == where]
        paths = {f"{part}/{j}" for j in own or last}
        yield self.held(part, away, paths)

    @abstractmethod
    def held(self, part: str, away: str, paths: set[str]) -> Sentence:
        """Nothing between a part's coming away and the joints of which one is the last."""

    def seated(self, part: str, joints: dict[str, Any]) -> Iterator[Sentence | Left]:
        done = [j for j in joints if f"{self.undo} {part}/{j}" in self.chosen]
        for joint in done:
            if family(joints[joint].get("kind")) != 0:
                continue
            mine, pairs = f"{self.undo} {part}/{joint}", set()
            for other in (f"{self.undo} {part}/{j}" for j in done if family(joints[j].get("kind")) in (1, 2)):
                if self.apart(other, mine):
                    yield ("seated", f"{part}/{joint}", other)
                else:
                    pairs.add(self.as_work(other, mine))
            if pairs:
                yield in_order("seated", f"{part}/{joint}", pairs)

    @abstractmethod
    def as_work(self, off_first: str, off_then: str) -> tuple[str, str]:
        """Two steps in the order of work."""

    def serves(self, task: str, served: list[str]) -> Iterator[Sentence]:
        """On directly before the first joint, off directly after the last."""
        on, off = f"task {task}", f"restore {task}"
        mine = {name for path in served if (name := self.served(path))}
        if not mine:
            return
        beside = self.serving(served) - {on, off}
        waited = self._kept_behind(mine)
        if on in self.chosen:
            yield in_a_run("serves", task, self.between({on}, mine), mine | beside)

        def may(done: Done, _: str | None, name: str) -> bool:
            if not sends(done):
                return True
            return name in beside | ({off} if mine <= done else mine | waited)

        def sends(done: Done) -> bool:
            return bool(mine & done) and not (mine <= done and (off in done or off not in self.chosen))

        if off in self.chosen or len(mine) > 1:
            yield Sentence("serves", task, may, sends)

    @abstractmethod
    def served(self, path: str) -> str | None:
        """What a helper is there for at a joint."""

    # ---- What can be kept, and the least it takes --------------------------------------------------------

    def least(self, rules: Sequence[Sentence]) -> Fraction | None:
        """The least time of all changes in an order that keeps these rules; None if none does."""
        staying = [rule for rule in rules if rule.stays]
        others = [rule for rule in rules if not rule.stays]
        layer: dict[tuple[Done, str | None], Fraction] = {(frozenset(), None): Fraction(0)}
        for _ in self.chosen:
            following: dict[tuple[Done, str | None], Fraction] = {}
            for (done, last), cost in layer.items():
                bound = sent(others, done)
                for name in self.free(done):
                    now = done | {name}
                    if now not in self.alive or not self.follows(last, name):
                        continue
                    asked = others if bound else (*others, *staying)
                    if all(rule.may(done, last, self.meant(name)) for rule in asked):
                        new = cost + self._change(last, name)
                        if new < following.get((now, name), new + 1):
                            following[now, name] = new
            layer = following
        return min(layer.values(), default=None)

    def follows(self, last: str | None, name: str) -> bool:  # noqa: ARG002 - beads say more
        """Whether what is no rule lets a step come directly after another."""
        return True

    def meant(self, name: str) -> str:
        """The step that a step belongs to: a bead to what it is for."""
        return name

    def _change(self, last: str | None, name: str) -> Fraction:
        where = self.machine.start if last is None else self.position_of(last)
        move = self.machine.ways[where, self.position_of(name)] if where is not None else Fraction(0)
        tool = "hand" if last is None else self.tool_of(last)
        return tool_seconds(self.machine, tool, self.tool_of(name)) + move

    def kept(self, only: str | None = None) -> tuple[list[Sentence], set[tuple[str, str]], Fraction]:
        """What is kept of all rules, or of one, what is not (rule and subject), and the least time."""
        self.so_far = kept = []
        dropped: set[tuple[str, str]] = set()
        time = self.least(kept)
        assert time is not None
        for sentence in self.sentences():
            if only not in (None, sentence[0] if isinstance(sentence, tuple) else sentence.rule):
                continue
            if isinstance(sentence, tuple):
                dropped.add(sentence[:2])
            elif (with_it := self.least([*kept, sentence])) is None:
                dropped.add((sentence.rule, sentence.subject))
            else:
                kept.append(sentence)
                time = with_it
        return kept, dropped, time

    def breaches(self, rules: Sequence[Sentence], order: Sequence[str]) -> list[str]:
        """The rules that an order breaks, in words."""
        found, done = [], set[str]()
        for last, name in zip((None, *order), order, strict=False):
            now = frozenset(done)
            bound = sent(rules, now)
            found += [
                f"{rule.rule} {rule.subject}: {name} after {last}"
                for rule in rules
                if not (rule.stays and bound) and not rule.may(now, last, self.meant(name))
            ]
            done.add(name)
        return found


def in_turn(rules: Collection[Sentence], done: Done, name: str) -> bool:
    """Whether rules that say nothing of the step before let a step come next."""
    return all(rule.may(done, None, name) for rule in rules)


def sent(rules: Sequence[Sentence], done: Done) -> bool:
    """Whether a rule tells where to go next."""
    return any(rule.sends is not None and rule.sends(done) for rule in rules)
