"""The rules of the way back read from the format page anew, and the least time of its changes under them.

The order of work is looked at as it is, not turned round. A bead goes on directly before what it is for.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from fractions import Fraction
from functools import cached_property
from typing import Any

from tests.support.plain_machine import Machine
from tests.support.plain_rules import tool_seconds
from tests.support.practice_reference import Sentence, directly, family, not_while, things
from tests.support.refit_checker import in_hand, with_wrenches
from tests.support.refit_state import Aftermath
from tests.support.torque_waits import awaited

Left = tuple[str, str, str | None]


class BackJob:
    """A fixed set of operations of a way back."""

    def __init__(self, machine: Machine, way_in: Sequence[str], chosen: Collection[str]) -> None:
        self.after = Aftermath(machine, tuple(way_in))
        self.machine = with_wrenches(self.after)
        self.chosen = frozenset(chosen)
        self.text = machine.text
        self._free: dict[frozenset[str], list[str]] = {}

    def free(self, done: frozenset[str]) -> list[str]:
        """What can be done next."""
        if done not in self._free:
            left = self.chosen - done
            self._free[done] = [n for n in sorted(left) if not self.after.step_faults(n, left)]
        return self._free[done]

    @cached_property
    def alive(self) -> set[frozenset[str]]:
        """What can have been done on a way back that comes to its end."""
        layers: list[set[frozenset[str]]] = [{frozenset()}]
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

    def waiting(self, names: Iterable[str]) -> set[str]:
        """All that one of these waits for."""
        return set().union(*(self._behind[name] for name in names))

    # ---- The rules ---------------------------------------------------------------------------------------

    def sentences(self) -> Iterator[Sentence | Left]:
        yield from self._carried()
        parts = self.text["parts"]
        joints = {f"{p}/{j}": how for p, about in parts.items() for j, how in about.get("joints", {}).items()}
        for name, about in parts.items():
            yield from self._hold(name, about)
        for path, how in joints.items():
            if "crack" in how:
                yield from self._crack(path, how["crack"]["while"])
        for name, about in parts.items():
            yield from self._sealed(name, about)
        for name, about in parts.items():
            yield from self._seated(name, about.get("joints", {}))
        for path, how in joints.items():
            if how.get("settle") and f"torque {path}" in self.chosen:
                yield from self._settle(path, joints)
        for face in dict.fromkeys(how["face"] for how in joints.values() if "face" in how):
            yield from self._face(face, [path for path, how in joints.items() if how.get("face") == face])
        tasks = self.text.get("tasks") or {}
        for name, about in tasks.items():
            step = f"{'task' if about.get('only') else 'restore'} {name}"
            for part in about.get("back_before") or [] if step in self.chosen else []:
                fits = [n for kind in ("fit", "move-back") if (n := f"{kind} {part}") in self.chosen]
                if fits:
                    yield Sentence("closing", part, self._first({fits[0]}, step))
        for name, about in tasks.items():
            yield from self._serves(name, about.get("serves") or [])

    def _carried(self) -> Iterator[Sentence | Left]:
        tasks = {
            name: about
            for name, about in (self.text.get("tasks") or {}).items()
            if about.get("carries")
            and not about.get("rated")
            and not self.chosen.isdisjoint({f"task {name}", f"restore {name}"})
        }
        placing = {f"{kind} {name}" for name in tasks for kind in ("task", "restore")}
        for name, about in tasks.items():
            on, off = f"task {name}", f"restore {name}"
            fits = {f"fit {part}" for part in about["carries"]} & self.chosen
            beside = {n for n in placing if n.startswith("task ")}
            if on in self.chosen and fits:
                yield Sentence("carried", name, directly(on, fits, beside))
            if off not in self.chosen:
                continue
            load = {*about["carries"], *(about.get("before") or [])}
            below: dict[str, set[str]] = {}
            for other in sorted(self.chosen):
                part = self.after.part_of(other)
                at = self.text["positions"][self.after.position_of(other)] or {}
                if not at.get("below") or part in load or other in placing or other.startswith("seal "):
                    continue
                if self.must_follow(off, other) and (on not in self.chosen or self.must_follow(other, on)):
                    yield ("carried", name, other)
                else:
                    below.setdefault(part or other.partition(" ")[2], set()).add(other)
            for names in (below[thing] for thing in things(self.text) if thing in below):
                yield Sentence("carried", name, not_while(on if on in self.chosen else None, off, names))

    def _hold(self, part: str, about: dict[str, Any]) -> Iterator[Sentence | Left]:
        joints = about.get("joints", {})
        aside = f"move-back {part}" in self.chosen
        back = f"move-back {part}" if aside else f"fit {part}"
        names = (about["aside"] or {}).get("joints", []) if aside else list(joints)
        mine = [j for j in names if f"fasten {part}/{j}" in self.chosen]
        hangs = aside and any(family(joints[j].get("kind")) == 1 for j in mine)
        heavy = float(str(about.get("weight", "0")).split()[0]) >= 3
        carried = any(part in of.get("carries", []) for of in (self.text.get("tasks") or {}).values())
        held = about.get("hold", (heavy or hangs) and "rides" not in about and not carried)
        if back not in self.chosen or not mine or not held:
            return
        later = {n for n in self.chosen if self.must_follow(n, back)}
        first = [j for j in mine if not any(self.must_follow(f"fasten {part}/{j}", n) for n in later)]
        best = min((family(joints[j].get("kind")) for j in first), default=3)
        if best == 3 and (not first or any(family(joints[j].get("kind")) < 3 for j in mine)):
            yield ("hold", part, None)
            return
        first = [j for j in first if family(joints[j].get("kind")) == best]
        where = self.after.position_of(f"fit {part}")
        own = [j for j in first if self.after.position_of(f"fasten {part}/{j}") == where]
        paths = {f"{part}/{j}" for j in own or first}
        may = {f"fasten {path}" for path in paths}
        beside = {f"{kind} {task}" for task in self._serving(paths) for kind in ("task", "restore")}
        beside |= {f"seal {path}" for path in paths}
        yield Sentence(
            "hold", part, lambda done, _, name: back not in done or bool(may & done) or name in may | beside
        )

    def _serving(self, paths: set[str]) -> list[str]:
        tasks = self.text.get("tasks") or {}
        return [task for task, about in tasks.items() if paths & set(about.get("serves") or [])]

    def _crack(self, path: str, holders: list[str]) -> Iterator[Sentence | Left]:
        fasten, torque = f"fasten {path}", f"torque {path}"
        if f"crack {path}" not in self.after.done and fasten not in self.chosen:
            return
        fits = []
        for holder in dict.fromkeys(holders):
            fit = f"fit {holder}"
            if fit in self.chosen and fasten in self.chosen:
                if self.must_follow(fasten, fit):
                    yield ("crack", path, holder)
                else:
                    fits.append(fit)
        if fits:
            yield Sentence(
                "crack",
                path,
                lambda done, _, name: (
                    not (name in fits and fasten not in done)
                    and not (name == torque and not done.issuperset(fits))
                ),
            )

    def _sealed(self, part: str, about: dict[str, Any]) -> Iterator[Sentence]:
        paths = {joint: f"{part}/{joint}" for joint in about.get("joints", {})}
        own = {n for n in self.chosen if n.partition(" ")[2].partition("/")[0] == part}
        own |= {
            f"{kind} {task}" for task in self._serving(set(paths.values())) for kind in ("task", "restore")
        }
        every = {end for path in paths.values() if (end := self._end(path))}
        for thing, ends in ((part, every), *((path, {self._end(path)}) for path in paths.values())):
            before = self._sealed_for(thing)
            if before and (later := ends - {before, None}):
                yield Sentence("sealed", thing, self._only(before, later, own))

    @staticmethod
    def _only(start: str, ends: set[str], own: set[str]) -> Callable[[frozenset[str], str | None, str], bool]:
        return lambda done, _, name: start not in done or ends <= done or name in own

    def _sealed_for(self, thing: str) -> str | None:
        """What a bead goes on directly before."""
        if f"seal {thing}" not in self.chosen:
            return None
        kinds = ("fasten",) if "/" in thing else ("move-back", "fit", "seat")
        return next(n for kind in kinds if (n := f"{kind} {thing}") in self.chosen)

    def _end(self, path: str) -> str | None:
        """The final torque of a joint, or its fastening where the torque waits for another part."""
        how, part = self.after.joint(path), path.partition("/")[0]
        others = {n.partition(" ")[2].partition("/")[0] for n in self.chosen} & set(
            (how.get("crack") or {}).get("while", [])
        )
        for name, about in self.text["parts"].items():
            for joint, of in about.get("joints", {}).items():
                same = how.get("face") and of.get("face") == how["face"] and name != part
                others |= {name} if same and f"torque {name}/{joint}" in self.chosen else set()
        others |= {
            n for n in awaited(self.text, how, self.chosen) if n.partition(" ")[2].partition("/")[0] != part
        }
        kinds = ("fasten", "tighten") if others else ("torque", "fasten", "tighten")
        return next((n for kind in kinds if (n := f"{kind} {path}") in self.chosen), None)

    def _seated(self, part: str, joints: dict[str, Any]) -> Iterator[Sentence | Left]:
        done_up = [j for j in joints if f"fasten {part}/{j}" in self.chosen]
        for joint in done_up:
            if family(joints[joint].get("kind")) != 0:
                continue
            seat, after = f"fasten {part}/{joint}", set()
            for other in (f"fasten {part}/{j}" for j in done_up if family(joints[j].get("kind")) in (1, 2)):
                if self.must_follow(seat, other):
                    yield ("seated", f"{part}/{joint}", other)
                else:
                    after.add(other)
            if after:
                yield Sentence("seated", f"{part}/{joint}", self._first(after, seat))

    @staticmethod
    def _first(later: set[str], first: str) -> Callable[[frozenset[str], str | None, str], bool]:
        return lambda done, _, name: name not in later or first in done

    def _settle(self, path: str, joints: dict[str, Any]) -> Iterator[Sentence | Left]:
        torque, face, before = f"torque {path}", joints[path].get("face"), set()
        for other, how in joints.items():
            same = other.partition("/")[0] == path.partition("/")[0] or (face and how.get("face") == face)
            if not same or how.get("settle") or f"torque {other}" not in self.chosen:
                continue
            if self.must_follow(f"torque {other}", torque):
                yield ("face", path, other)
            else:
                before.add(f"torque {other}")
        if before:
            yield Sentence("face", path, lambda done, _, name: name != torque or before <= done)

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
            before = {n for other, n in fastened.items() if other != path}
            if before:
                yield Sentence("face", path, self._all_before(f"torque {path}", before))
        torques = {f"torque {path}" for path in members}
        if len(torques) > 1:
            yield Sentence(
                "face",
                face,
                lambda done, _, name: not torques & done or torques <= done or name in torques,
            )

    @staticmethod
    def _all_before(later: str, before: set[str]) -> Callable[[frozenset[str], str | None, str], bool]:
        return lambda done, _, name: name != later or before <= done

    def _serves(self, task: str, served: list[str]) -> Iterator[Sentence]:
        on, off = f"task {task}", f"restore {task}"
        tight = {
            next(name for name in names if name in self.chosen)
            for path in served
            if not self.chosen.isdisjoint(
                names := [f"{kind} {path}" for kind in ("torque", "retighten", "fasten", "tighten")]
            )
        }
        if not tight:
            return
        beside = {
            f"{kind} {other}"
            for other in self._serving(set(served))
            for kind in ("task", "restore")
            if other != task
        }
        waited = self.waiting(tight)
        beside |= {f"seal {path}" for path in served}

        def goes_on(done: frozenset[str], _: str | None, name: str) -> bool:
            return on not in done or bool(tight & done) or name in tight | beside

        def comes_off(done: frozenset[str], _: str | None, name: str) -> bool:
            if not tight & done:
                return True
            if tight <= done:
                return off not in self.chosen or off in done or name in {off} | beside
            return name in tight | waited | beside

        if on in self.chosen:
            yield Sentence("serves", task, goes_on)
        if off in self.chosen or len(tight) > 1:
            yield Sentence("serves", task, comes_off)

    # ---- What can be kept, and the least it takes --------------------------------------------------------

    def least(self, rules: Sequence[Sentence]) -> Fraction | None:
        """The least time of all changes in an order that keeps these rules; None if none does."""
        layer: dict[tuple[frozenset[str], str | None], Fraction] = {(frozenset(), None): Fraction(0)}
        for _ in self.chosen:
            following: dict[tuple[frozenset[str], str | None], Fraction] = {}
            for (done, last), cost in layer.items():
                for name in self.free(done):
                    now = done | {name}
                    bead = last is not None and last.startswith("seal ")
                    if bead and name != self._sealed_for(last.partition(" ")[2]):
                        continue
                    if now in self.alive and all(rule.may(done, last, name) for rule in rules):
                        new = cost + self._change(last, name)
                        if new < following.get((now, name), new + 1):
                            following[now, name] = new
            layer = following
        return min(layer.values(), default=None)

    def _change(self, last: str | None, name: str) -> Fraction:
        here = self.after.position_of(name)
        where = self.machine.start if last is None else self.after.position_of(last)
        tool = "hand" if last is None else in_hand(self.after, last)
        move = self.machine.ways[where, here] if where is not None else Fraction(0)
        return tool_seconds(self.machine, tool, in_hand(self.after, name)) + move

    def kept(self) -> tuple[list[Sentence], set[tuple[str, str]], Fraction]:
        """What is kept, what is not (rule and subject), and the least time under what is kept."""
        kept: list[Sentence] = []
        dropped: set[tuple[str, str]] = set()
        time = self.least(kept)
        assert time is not None
        for sentence in self.sentences():
            if isinstance(sentence, tuple):
                dropped.add(sentence[:2])
            elif (with_it := self.least([*kept, sentence])) is None:
                dropped.add((sentence.rule, sentence.subject))
            else:
                kept.append(sentence)
                time = with_it
        return kept, dropped, time
