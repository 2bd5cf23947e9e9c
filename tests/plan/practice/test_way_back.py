"""The rules of the way back, held against an exhaustive reference on machines by chance."""

import pytest

from sequencer.errors import SequencerError
from sequencer.plan.practice.rules import Practice, RuleName
from tests.plan.jobs import by_hand_where_nothing_is_said, names, teardown, there_and_back
from tests.plan.practice.chance import alone, with_chance
from tests.support.plain_machine import load_machine
from tests.support.practice_back import WayBack
from tests.support.profile import counts
from tests.support.random_machines import random_machine

MOST = 11
"""Operations that the reference puts in every order."""

PICKED = (3, 20, 34, 49, 72, 89, 140, 214, 264, 519, 601, 4179)
"""Machines with all the rules among them, and some that can not be kept."""

FEW = PICKED[:3]
"""Enough for each rule to be kept once when it is alone."""


def jobs(seeds):
    """Each machine that goes together in few enough steps: its text, and both ways under practice."""
    for seed in seeds:
        text, targets = random_machine(seed, 3, torques=True)
        text = with_chance(by_hand_where_nothing_is_said(text), seed)
        try:
            if len(teardown(text, targets).steps) > MOST - 3:
                continue
            way_in, back = there_and_back(text, targets, practice=Practice.ALL)
        except SequencerError:
            continue
        if 1 < len(back.steps) <= MOST:
            yield seed, text, way_in, back


ALONE = [rule.value for rule in RuleName]


@pytest.mark.parametrize("only", [None, *counts(quick=ALONE[:1], landing=ALONE, nightly=ALONE)])
def test_what_is_kept_is_what_can_be_kept_and_takes_the_least_time(only, monkeypatch):
    if only:
        alone(only, monkeypatch)
    kept_ones = dict.fromkeys((name.value for name in RuleName), 0)
    for seed, text, way_in, back in jobs(counts(quick=FEW if only else PICKED, nightly=range(6000))):
        job = WayBack(load_machine(text), names(way_in), names(back))
        kept, dropped, time = job.kept(only)
        mine = [(r.name.value, r.subject) for r in back.practice.kept]
        assert mine == [(s.rule, s.subject) for s in kept], seed
        assert {(d.name.value, d.subject) for d in back.practice.dropped} == dropped, seed
        assert job.breaches(kept, names(back)) == [], seed
        assert (sum(step.change_seconds for step in back.steps), back.proven) == (time, True), seed
        for rule, _ in mine:
            kept_ones[rule] += 1
    assert kept_ones[only] if only else all(kept_ones.values()), kept_ones
