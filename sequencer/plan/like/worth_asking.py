"""What it is worth to ask: how likely a real machine is otherwise, times what that changes in the plan.

The worth of asking of one thing, in seconds, is

    chance that it is otherwise × what the plan would be wrong by,

and that of a question is the sum over all that it asks of. The chances are those of the type's ``varies``,
else of ``data/like.toml``; that something else holds or covers a part, those of ``data/looks.toml``, which
``--look-first`` goes by. What the plan would be wrong by is told without solving it anew, from the order of
the file taken from top to bottom (``naive``), each step with its own time and the change before it:

    not there       the steps at it, and all that is done for nothing else
    in the way      the work on one part of this plan, on average, and the search for it (``looks``)
    fasteners       one fastener more, and a change of tool
    from elsewhere  there and back to the nearest other place of this plan

A thing that this job does not touch is worth nothing. All of it is low rather than high: an order that turns
out impossible costs more than its seconds.
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from fractions import Fraction
from functools import cache, cached_property
from importlib import resources
from typing import Any

from sequencer.graph import Target, derive, goals, narrowed
from sequencer.machine.model import Joint, Machine, Part
from sequencer.plan.looks.looks_kinds import chance_of, is_hidden, search_seconds, words_of
from sequencer.plan.order.naive import first_ways, top_to_bottom
from sequencer.plan.order.replay import replay
from sequencer.plan.order.setups import Changes
from sequencer.plan.plan import Step
from sequencer.quantities import parse_seconds


@cache
def like_table() -> dict[str, Any]:
    """``data/like.toml``."""
    text = resources.files("sequencer.plan").joinpath("data/like.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def _table(section: str, key: str) -> Fraction:
    return Fraction(str(like_table()[section][key]))


class AskingWorth:
    """What asking is worth for one job on a machine as it is known so far."""

    def __init__(self, machine: Machine, targets: Sequence[Target]) -> None:
        """Derive what the job does.

        Raises:
            UnreachableError: No order of work reaches the targets.
        """
        self.machine = machine
        self.wanted = frozenset(target.part for target in targets)
        whole = derive(machine)
        self._graph, self._goals = narrowed(whole, goals(whole, targets))
        self._changes = Changes.of(machine)
        chosen = first_ways(self._graph, self._goals)
        order = top_to_bottom(self._graph, self._goals, tuple(chosen))
        self.steps: dict[str, Step] = {
            step.operation.name: step for step in replay(self._graph, order, self._changes)
        }

    @cached_property
    def seconds(self) -> Fraction:
        """What the job takes, roughly."""
        return sum((step.seconds + step.change_seconds for step in self.steps.values()), Fraction(0))

    @cached_property
    def parts(self) -> dict[str, tuple[Step, ...]]:
        """The parts that the job touches, in the order of the file, with their steps."""
        found: dict[str, list[Step]] = {}
        for step in self.steps.values():
            if step.operation.part in self.machine.parts:
                found.setdefault(str(step.operation.part), []).append(step)
        return {name: tuple(found[name]) for name in self.machine.parts if name in found}

    @cached_property
    def least(self) -> Fraction:
        """What a question has to be worth."""
        return max(_table("ask", "least") * self.seconds, parse_seconds(like_table()["ask"]["once"]))

    def there(self, part: str) -> Fraction:
        """Asking whether a part is there."""
        if part in self.wanted:
            return Fraction(0)
        return missing_chance(self.machine.parts[part]) * self._without(part)

    def _without(self, part: str) -> Fraction:
        """The time of the steps at a part, and of all that is done for nothing else."""
        own = {step.operation.name for step in self.parts.get(part, ())}
        left: set[str] = set()
        pending = [name for clause in self._goals for name in clause.any_of if name in self.steps]
        while pending:
            name = pending.pop()
            if name not in left and name not in own:
                left.add(name)
                pending += (
                    other
                    for clause in self._graph.needs[name]
                    if own.isdisjoint(clause.any_of)
                    for other in clause.any_of
                    if other in self.steps
                )
        gone = (step for name, step in self.steps.items() if name not in left)
        return sum((step.seconds + step.change_seconds for step in gone), Fraction(0))

    def way(self, name: str) -> Fraction:
        """Asking whether something else is in the way of a part."""
        part = self.machine.parts[name]
        share = chance_of(part, hidden=is_hidden(self.machine, part, part.position)).share
        if part.varies.also:
            share = max(share, part.varies.chance or share)
        return share * (self._mean_work + search_seconds(part))

    @cached_property
    def _mean_work(self) -> Fraction:
        steps = [step for own in self.parts.values() for step in own]
        total = sum((step.seconds + step.change_seconds for step in steps), Fraction(0))
        return total / max(len(self.parts), 1)

    def fasteners(self, path: str) -> Fraction:
        """Asking for the number and the head of a joint."""
        joint = self.machine.joint_at(path)
        pace = self.machine.pace
        share = fastener_chance(joint)
        return share * (joint.seconds / joint.count + pace.put_down + pace.pick_up)

    def elsewhere(self, name: str) -> Fraction:
        """Asking from where a part is worked on."""
        part = self.machine.parts[name]
        used = {step.operation.position for step in self.steps.values()} | set(part.varies.places)
        others = [one for one in used if one != part.position and one in self.machine.positions]
        ways = [
            self._changes.move_seconds(part.position, one) + self._changes.move_seconds(one, part.position)
            for one in others
        ]
        chance = part.varies.chance if part.varies.places and part.varies.chance else None
        return (chance or _table("elsewhere", "chance")) * min(ways, default=Fraction(0))


def missing_chance(part: Part) -> Fraction:
    """How likely a real machine has not got a part of its type."""
    if part.varies.missing is not None:
        return part.varies.missing
    if any(joint.torque is not None for joint in part.joints.values()):
        return _table("missing", "held")
    said = words_of(part.name, part.label)
    return _table("missing", "light" if said.isdisjoint(like_table()["missing"]["words"]) else "loose")


def fastener_chance(joint: Joint) -> Fraction:
    """How likely a real machine has other fasteners there, or none."""
    other = joint.varies.chance or _table("fasteners", "chance")
    missing = joint.varies.missing or _table("fasteners", "missing")
    return 1 - (1 - other) * (1 - missing)
