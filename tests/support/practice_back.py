"""What the rules of good practice say of the way back alone.

A bead goes on directly before what it is for.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from functools import cached_property
from typing import Any

from tests.support.home_tasks import mentioned
from tests.support.plain_machine import Machine, Tool
from tests.support.practice_reference import Done, Left, Reference, Sentence, in_a_run, in_order, in_turn
from tests.support.refit_checker import in_hand, with_wrenches
from tests.support.refit_state import Aftermath
from tests.support.torque_waits import awaited


class WayBack(Reference):
    """A fixed set of operations of a way back."""

    undo, away, aside = "fasten", "fit", "move-back"

    def __init__(self, machine: Machine, way_in: Sequence[str], chosen: Collection[str]) -> None:
        self.after = Aftermath(machine, tuple(way_in))
        super().__init__(with_wrenches(self.after), chosen)

    def possible(self, done: Done, name: str) -> bool:
        return not self.after.step_faults(name, self.chosen - done)

    def position_of(self, name: str) -> str:
        return self.after.position_of(name)

    def part_of(self, name: str) -> str:
        return self.after.part_of(name)

    def tool_of(self, name: str) -> Tool:
        return in_hand(self.after, name)

    def apart(self, later: str, earlier: str) -> bool:
        return self.must_follow(earlier, later)

    def as_work(self, off_first: str, off_then: str) -> tuple[str, str]:
        return off_then, off_first

    @cached_property
    def joints(self) -> dict[str, dict[str, Any]]:
        parts = self.text["parts"]
        return {f"{p}/{j}": how for p, about in parts.items() for j, how in about.get("joints", {}).items()}

    def sentences(self) -> Iterator[Sentence | Left]:
        yield from self.carried()
        parts = self.text["parts"]
        for name, about in parts.items():
            yield from self.hold(name, about)
        for path, how in self.joints.items():
            if "crack" in how:
                yield from self._crack(path, how["crack"]["while"])
        for name, about in parts.items():
            yield from self._sealed(name, about)
        for name, about in parts.items():
            yield from self.seated(name, about.get("joints", {}))
        for path, how in self.joints.items():
            if how.get("settle") and f"torque {path}" in self.chosen:
                yield from self._settle(path)
        for face in dict.fromkeys(how["face"] for how in self.joints.values() if "face" in how):
            yield from self._face(
                face, [path for path, how in self.joints.items() if how.get("face") == face]
            )
        for name, about in self.tasks.items():
            step = f"{'task' if about.get('only') else 'restore'} {name}"
            for part in about.get("back_before") or [] if step in self.chosen else []:
                fits = [n for kind in ("fit", "move-back") if (n := f"{kind} {part}") in self.chosen]
                if fits:
                    yield in_order("closing", part, {(step, fits[0])})
            hidden = self._hidden(step, about) if about.get("only") and step in self.chosen else set()
            if hidden:
                yield in_order("closing", name, {(below, step) for below in hidden})
        for name, about in self.tasks.items():
            yield from self.serves(name, about.get("serves") or [])
        yield from self._start()
        yield from self._snug()

    def _hidden(self, step: str, about: dict[str, Any]) -> set[str]:
        """What is below that which goes on after a task of the way back."""
        after = about.get("back_before") or []
        behind = {one.partition("/")[0] for one in mentioned(about.get("behind") or [])}
        fits = {
            fit
            for part in {*after, *behind}
            for kind in ("fit", "move-back")
            if (fit := f"{kind} {part}") in self.chosen and (part in after or self.must_follow(fit, step))
        }
        bears = {f"task {name}" for name, task in self.tasks.items() if task.get("carries")}
        below = {n for n in self.chosen - bears if any(self.must_follow(fit, n) for fit in fits)}
        covers = {n for n in below if n.partition(" ")[2].partition("/")[0] in after}
        below -= {step, *covers}
        return {n for n in below if self.meant(n) == n and not self.must_follow(n, step)}

    def taken_for(self, carried: Sequence[str], load: set[str]) -> set[str]:  # noqa: ARG002 - the way in asks it
        return {f"fit {part}" for part in carried} & self.chosen

    def held(self, part: str, away: str, paths: set[str]) -> Sentence:
        first = {f"fasten {path}" for path in paths}
        return in_a_run("hold", part, self.between({away}, first), first | self.serving(paths))

    def _crack(self, path: str, holders: list[str]) -> Iterator[Sentence | Left]:
        fasten, torque = f"fasten {path}", f"torque {path}"
        pairs = set()
        for fit in (f"fit {holder}" for holder in dict.fromkeys(holders) if fasten in self.chosen):
            if fit in self.chosen and self.must_follow(fasten, fit):
                yield ("crack", path, fit)
            elif fit in self.chosen:
                pairs |= {(fasten, fit), (fit, torque)}
        if pairs:
            yield in_order("crack", path, pairs)

    def _sealed(self, part: str, about: dict[str, Any]) -> Iterator[Sentence]:
        paths = {joint: f"{part}/{joint}" for joint in about.get("joints", {})}
        own = {n for n in self.chosen if n.partition(" ")[2].partition("/")[0] == part}
        own |= self.serving(paths.values())
        every = {end for path in paths.values() if (end := self._end(path))}
        for thing, ends in ((part, every), *((path, {self._end(path)}) for path in paths.values())):
            before = self._sealed_for(thing)
            if before and (later := ends - {before, None}):
                yield in_a_run(
                    "sealed",
                    thing,
                    lambda done, before=before, later=later: before in done and not later <= done,  # type: ignore[misc]
                    own,
                )

    def _sealed_for(self, thing: str) -> str | None:
        """What a bead goes on directly before."""
        if f"seal {thing}" not in self.chosen:
            return None
        kinds = ("fasten",) if "/" in thing else ("move-back", "fit", "seat")
        return next(n for kind in kinds if (n := f"{kind} {thing}") in self.chosen)

    def meant(self, name: str) -> str:
        thing = name.partition(" ")[2]
        return str(self._sealed_for(thing)) if name.startswith("seal ") else name

    def follows(self, last: str | None, name: str) -> bool:
        bead = last is not None and last.startswith("seal ")
        return not bead or name == self._sealed_for(str(last).partition(" ")[2])

    def _end(self, path: str) -> str | None:
        """The final torque of a joint, or its fastening where the torque waits for another part."""
        how, part = self.after.joint(path), path.partition("/")[0]
        others = {n.partition(" ")[2].partition("/")[0] for n in self.chosen} & set(
            (how.get("crack") or {}).get("while", [])
        )
        for other, of in self.joints.items():
            same = how.get("face") and of.get("face") == how["face"] and other.partition("/")[0] != part
            others |= {other} if same and f"torque {other}" in self.chosen else set()
        others |= {
            n for n in awaited(self.text, how, self.chosen) if n.partition(" ")[2].partition("/")[0] != part
        }
        kinds = ("fasten", "tighten") if others else ("torque", "fasten", "tighten")
        return next((n for kind in kinds if (n := f"{kind} {path}") in self.chosen), None)

    def _settle(self, path: str) -> Iterator[Sentence | Left]:
        torque, face, before = f"torque {path}", self.joints[path].get("face"), set()
        for other, how in self.joints.items():
            same = other.partition("/")[0] == path.partition("/")[0] or (face and how.get("face") == face)
            if not same or how.get("settle") or f"torque {other}" not in self.chosen:
                continue
            if self.must_follow(f"torque {other}", torque):
                yield ("face", path, other)
            else:
                before.add((f"torque {other}", torque))
        if before:
            yield in_order("face", path, before)

    def _face(self, face: str, paths: list[str]) -> Iterator[Sentence]:
        fastened = {
            path: next(n for n in names if n in self.chosen)
            for path in paths
            if not self.chosen.isdisjoint(names := [f"fasten {path}", f"tighten {path}"])
        }
        members = [
            path
            for path in paths
            if (torque := f"torque {path}") in self.chosen
            and not any(path != other and self.must_follow(n, torque) for other, n in fastened.items())
        ]
        for path in members:
            before = {(n, f"torque {path}") for other, n in fastened.items() if other != path}
            if before:
                yield in_order("face", path, before)
        torques = {f"torque {path}" for path in members}
        if len(torques) > 1:
            run = in_a_run("face", face, lambda done: bool(torques & done) and not torques <= done, torques)
            yield replace(run, together=frozenset(torques))

    def served(self, path: str) -> str | None:
        names = (f"{kind} {path}" for kind in ("torque", "retighten", "fasten", "tighten"))
        return next((name for name in names if name in self.chosen), None)

    # ---- Nobody walks off --------------------------------------------------------------------------------

    def _start(self) -> Iterator[Sentence]:
        for path in self.joints:
            part = path.partition("/")[0]
            fasten = f"fasten {path}"
            if fasten not in self.chosen or self.chosen.isdisjoint({f"fit {part}", f"move-back {part}"}):
                continue
            fits = [name for name in self.chosen if name.startswith("fit ")]
            if self._elsewhere(fasten) or fits:
                yield Sentence("start", path, self._no_walking_off(fasten, part), stays=True)

    def _snug(self) -> Iterator[Sentence]:
        for path in self.joints:
            if f"torque {path}" in self.chosen and self._elsewhere(f"torque {path}"):
                yield Sentence("snug", path, self._no_walking_off(f"torque {path}", None), stays=True)

    def _elsewhere(self, step: str) -> bool:
        """Whether there is anywhere to walk off to."""
        others = self.chosen - self._together(step)
        return any(self.position_of(name) != self.position_of(step) for name in others)

    def _together(self, step: str) -> Done:
        """A step with what could simply be done with it: its helpers and what they are for, its set."""
        served = {
            f"task {task}": {n for path in about.get("serves") or [] if (n := self.served(path))}
            for task, about in self.tasks.items()
            if f"task {task}" in self.chosen
        }
        ties = [{on, *names} for on, names in served.items() if names]
        ties += [set(rule.together) for rule in self.so_far if rule.together]
        found = {step}
        while more := set().union(*(tie for tie in ties if tie & found)) - found:
            found |= more
        return frozenset(found)

    def _no_walking_off(self, step: str, part: str | None) -> Any:
        """Nobody leaves where a step could be done; nor, with its part, is another part fitted there.

        Who sets its helper up does not leave; who begins a set there that goes on elsewhere does.
        """
        here, own = self.position_of(step), self._together(step)
        sets = [rule.together for rule in self.so_far if rule.together]
        leading = [found for found in sets if any(self.position_of(name) != here for name in found)]
        if any(found & own for found in leading):
            leading = []

        def may(done: Done, last: str | None, name: str) -> bool:
            if last is None or name == step or not self._could(done, step):
                return True
            if self.position_of(last) == here != self.position_of(name) and name not in own:
                return False
            if self.position_of(name) == here and any(name in found for found in leading):
                return False
            if self.position_of(name) != here:
                return True
            others = [
                fit for fit in self._slung(name) if part is None or f"fit {part}" not in self._slung(name)
            ]
            if any(part is not None or self.position_of(fit) != here for fit in others):
                return False  # who has slung it fits it next
            return part is None or not name.startswith("fit ") or name == f"fit {part}"

        return may

    def _slung(self, name: str) -> list[str]:
        """What is fitted directly after the setting up of what carries it."""
        about = (self.tasks.get(name[5:]) or {}) if name.startswith("task ") else {}
        load = [] if about.get("rated") else about.get("carries") or []
        return [fit for part in load if (fit := f"fit {part}") in self.chosen]

    def _could(self, done: Done, step: str) -> bool:
        """Whether it could be done next, as far as the machine and the orders that are kept say.

        Its bead would go on first, and its helper be set up. Of a set, and of what one helper is for, each
        waits for what any of them waits for.
        """
        own = self._together(step)
        beads = frozenset().union(*map(self._bead, own - done))
        if step in done or done | beads | own not in self.alive:
            return False
        return all(self._free_but_for(done | (own - {one}), one) for one in own - done)

    def _free_but_for(self, done: Done, step: str) -> bool:
        now = done | self._bead(step)
        return self.possible(now, step) and in_turn([rule for rule in self.so_far if rule.order], now, step)

    def _bead(self, step: str) -> Done:
        """The bead that goes on directly before a step."""
        thing = step.partition(" ")[2]
        return frozenset({f"seal {thing}"} if self._sealed_for(thing) == step else ())
