"""Jobs made at random: work out of order, discoveries, targets that come later, ways back taken up again.

This drives the program as a person would, and writes down what happened for the independent checker.
"""

from __future__ import annotations

import random
from dataclasses import replace
from functools import lru_cache
from typing import Any

from sequencer.engine.problem import Limits
from sequencer.errors import SequencerError
from sequencer.graph import derive, parse_targets
from sequencer.machine import Machine, read_text
from sequencer.plan.onward.aftermath import backwards
from sequencer.plan.onward.present import Direction, Present
from sequencer.plan.onward.present_back import apart_again
from sequencer.plan.onward.turned import plan_back
from sequencer.plan.resume import replan
from tests.support.plain_machine import as_data, as_text
from tests.support.possible import possible_back, possible_now
from tests.support.random_machines import random_machine

LIMITS = Limits(states=2000)
MOST_DISCOVERIES = 4


@lru_cache(maxsize=8)
def _read(text: str) -> Machine:
    reading = read_text(text, "machine.yaml")
    assert reading.machine is not None, [str(fault) for fault in reading.faults]
    return reading.machine


class Walk:
    """One random job. ``log`` is for the checker; the counts say what happened."""

    def __init__(self, seed: int, size: int) -> None:
        self.rng = random.Random(f"walk {seed}")
        self.text, self.targets = random_machine(seed, size, torques=True)
        self.log: list[dict[str, Any]] = []
        self.present = Present()
        self.ahead: tuple[str, ...] = ()
        self.discoveries = self.refused = self.out_of_order = self.stuck = 0
        self.turns = 0
        self.possible = False

    @property
    def machine(self) -> Machine:
        return _read(self.text)

    def run(self) -> Walk:
        try:
            self._known()
            self._plan(go_on=False)
        except SequencerError:
            return self  # a machine that does not come apart is no job
        self.possible = True
        self._way_in()
        self._way_back()
        while self.present.direction is Direction.APART:
            self._way_in()
            self._way_back()
        return self

    def _known(self) -> None:
        self.log.append({"machine": self.text, "targets": list(self.targets)})

    def _own_targets(self) -> tuple[Any, ...]:
        return parse_targets(
            self.machine,
            [what for verb, what in self.targets if verb == "off"],
            [what for verb, what in self.targets if verb == "reach"],
        )

    def _plan(self, *, go_on: bool = True) -> None:
        resumed = replan(
            self.machine, self._own_targets(), self.present, self.ahead, limits=LIMITS, go_on=go_on
        )
        self.ahead = tuple(op.name for op in resumed.plan.operations)
        words = {str(own): told for own, told in zip(self._own_targets(), self._told(), strict=True)}
        stuck = [words[str(target)] for target, _ in resumed.stuck]
        self.stuck += len(stuck)
        self.log.append({"plan": list(self.ahead), "stuck": stuck})

    def _told(self) -> list[tuple[str, str]]:
        ordered = [t for t in self.targets if t[0] == "off"] + [t for t in self.targets if t[0] == "reach"]
        return list({str(self._one(t)): t for t in ordered}.values())

    def _one(self, target: tuple[str, str]) -> Any:
        verb, what = target
        return parse_targets(
            self.machine, [what] if verb == "off" else [], [what] if verb == "reach" else []
        )[0]

    def _way_in(self) -> None:
        while self.ahead:
            chance = self.rng.random()
            if chance < 0.12 and self.discoveries < MOST_DISCOVERIES:
                self._discover()
                continue
            if chance < 0.15:
                self._also()
                continue
            if chance < 0.17 and self.present.done:
                return  # it goes back before all targets are reached
            graph = derive(self.machine)
            offered = possible_now(graph, self.present, self.ahead)
            self.log.append({"offered": list(offered)})
            name = self.ahead[0]
            if chance < 0.4:
                name = self.rng.choice(offered)
                self.out_of_order += name != self.ahead[0]
            self.log.append({"done": name})
            self.present = self.present.after(graph, name)
            in_order = name == self.ahead[0]
            self.ahead = tuple(n for n in self.ahead if n != name)
            if not in_order or self.rng.random() < 0.3:
                self._plan()

    def _discover(self) -> None:
        """A part that the file lacks holds or hides another one; or a part is behind another after all."""
        before, log = (self.text, self.targets), len(self.log)
        machine = as_data(self.text)
        parts = machine["parts"]
        victim = self.rng.choice(list(parts))
        where = self.rng.choice(list(machine["positions"]))
        joint: dict[str, Any] = {"kind": "bolt", "head": self.rng.choice((10, 13)), "time": "15 s"}
        if self.rng.random() < 0.4:
            joint["torque"] = "10 N.m"
        name = f"found-{self.discoveries + 1}"
        found: dict[str, Any] = {"from": where, "time": "5 s", "joints": {"hold": joint}}
        if self.rng.random() < 0.3:
            found["behind"] = [self.rng.choice([part for part in parts if part != victim] or [victim])]
        parts[name] = found
        key = self.rng.choice(("behind", "trapped_by"))
        about = parts[victim]
        if self.rng.random() < 0.3 and about.get("joints"):
            key, about = "behind", self.rng.choice(list(about["joints"].values()))
        about[key] = [*(about.get(key) or []), name]
        self.text = as_text(machine)
        self.discoveries += 1
        self._known()
        try:
            self._plan(go_on=self.rng.random() < 0.5)
        except SequencerError:
            self.refused += 1
            self.text, self.targets = before
            del self.log[log:]

    def _also(self) -> None:
        part = self.rng.choice(list(as_data(self.text)["parts"]))
        if ("off", part) in self.targets:
            return
        self.targets = [*self.targets, ("off", part)]
        self._known()
        self._plan()

    def _way_back(self) -> None:
        if not self.present.done and not self.present.owed:
            self.present = replace(self.present, direction=Direction.TOGETHER)
            return
        self.turns += 1
        self.present = replace(self.present, direction=Direction.TOGETHER, back=())
        self.log.append({"turn": "back", "owed": list(self.present.owed)})
        ahead: tuple[str, ...] = ()
        fresh = True
        while True:
            if fresh:
                home = plan_back(self.machine, self._own_targets(), self.present, limits=LIMITS)
                assert not home.stranded, home.stranded
                ahead = tuple(op.name for op in home.refit.operations)
                graph = {op.name: op for op in home.refit.operations}
                self.log.append({"refit": list(ahead)})
            if not ahead:
                return
            back, _, _ = backwards(self.machine, self._own_targets(), self.present)
            offered = possible_back(back, self.present)
            self.log.append({"offered": list(offered)})
            name = ahead[0]
            if self.rng.random() < 0.25 and offered:
                name = self.rng.choice(offered)
            self.log.append({"done": name})
            operation = graph.get(name) or back.graph.operations[name]
            self.present = replace(
                self.present,
                back=(*self.present.back, name),
                tool=operation.tool,
                position=operation.position,
            )
            fresh = name != ahead[0] or self.rng.random() < 0.1
            ahead = tuple(n for n in ahead if n != name)
            if self.turns < 3 and self.rng.random() < 0.03:
                self._apart(back)
                return

    def _apart(self, back: Any) -> None:
        self.present = apart_again(back, self.present)
        self.log.append({"turn": "in"})
        self._plan()
        if not self.ahead:
            self.present = replace(self.present, direction=Direction.APART)
