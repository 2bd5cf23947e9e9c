"""Somebody who stands before a real machine and answers the questions truthfully, or does not know."""

from __future__ import annotations

import random
from dataclasses import dataclass
from fractions import Fraction

from sequencer.machine.called import joint_label, part_label
from sequencer.machine.model import Machine
from sequencer.machine.survey import DONT_KNOW, Survey, SurveyQuestion
from tests.benchmarks.like_variants import Variant

SAME = "as in the type"


@dataclass
class Person:
    """Who answers.

    Attributes:
        type: The machine that the labels of the questions are from.
        truth: What the real one has otherwise.
        lost: The share of questions to which they say that they don't know.
    """

    type: Machine
    truth: Variant
    rng: random.Random
    lost: Fraction = Fraction(0)

    def answers(self, survey: Survey) -> int:
        """Answer until nothing more is asked; how many answers that took."""
        while (question := survey.question) is not None:
            survey.answer(question.id, self.answer(question))
        return len(survey.answers)

    def answer(self, question: SurveyQuestion) -> str:
        """What they say."""
        kind, _, rest = question.id.partition("/")
        if self.rng.random() < self.lost:
            return DONT_KNOW
        things = rest.split("+")
        return {
            "there": self._there,
            "way": self._way,
            "fasteners": self._fasteners,
            "elsewhere": self._elsewhere,
            "what": self._what,
            "held": self._held,
            "number": self._number,
            "place": self._place,
            "over": self._over,
        }[kind](things)

    def _part(self, name: str) -> str:
        return part_label(self.type.parts[name])

    def _joint(self, path: str) -> str:
        part, name = path.split("/", 1)
        return joint_label(self.type, self.type.joint(part, name))

    def _there(self, things: list[str]) -> str:
        gone = [one for one in things if one in self.truth.missing]
        if len(things) == 1:
            return "no" if gone else SAME
        return ", ".join(map(self._part, gone)) or SAME

    def _way(self, things: list[str]) -> str:
        found = [
            f"{label} over {self._part(over)}" for label, over in self.truth.extras.items() if over in things
        ]
        found += [
            f"{self._part(other)} over {self._part(part)}"
            for part, other in self.truth.also.items()
            if part in things
        ]
        if len(found) == 1 and len(things) > 1 and self.rng.random() < 0.5:
            return self._part(next(one for one in things if self._covers(one)))
        return ", ".join(found) or SAME

    def _covers(self, part: str) -> list[str]:
        """What is in the way of a part, beyond the type."""
        found = [label for label, over in self.truth.extras.items() if over == part]
        return [*found, *([self._part(self.truth.also[part])] if part in self.truth.also else [])]

    def _what(self, things: list[str]) -> str:
        return ", ".join(self._covers(things[0]))

    def _over(self, things: list[str]) -> str:
        key = things[0]
        covered = [
            over for label, over in self.truth.extras.items() if label.lower().replace(" ", "-") == key
        ]
        covered += [part for part, other in self.truth.also.items() if other == key]
        return ", ".join(map(self._part, covered))

    def _held(self, things: list[str]) -> str:
        bolts = self.truth.data["parts"][things[0]]["joints"]["bolts"]
        return f"{bolts['count']} bolts {bolts['head']} mm"

    def _others(self, path: str) -> str:
        words = [str(self.truth.counts[path])] if path in self.truth.counts else []
        if path in self.truth.heads:
            head = self.truth.heads[path]
            words.append(f"{'x ' if words else ''}{head}{' mm' if head.isdecimal() else ''}")
        return " ".join(words)

    def _fasteners(self, things: list[str]) -> str:
        if len(things) == 1:
            return self._number(things)
        at_once = self.rng.random() < 0.5
        found = [
            f"{self._joint(one)} {self._others(one)}" if at_once else self._joint(one)
            for one in things
            if self._others(one)
        ]
        return ", ".join(found) or SAME

    def _number(self, things: list[str]) -> str:
        return self._others(things[0]) or SAME

    def _elsewhere(self, things: list[str]) -> str:
        if len(things) == 1:
            return self._place(things)
        found = [f"{self._part(one)} from {self._place([one])}" for one in things if one in self.truth.places]
        return ", ".join(found) or SAME

    def _place(self, things: list[str]) -> str:
        place = self.truth.places.get(things[0])
        return self.type.positions[place].label if place else SAME
