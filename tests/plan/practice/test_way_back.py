"""The rules of the way back, held against an exhaustive reference on machines by chance."""

import pytest

from sequencer.errors import SequencerError
from sequencer.plan.practice import keep
from sequencer.plan.practice.rules import Practice, RuleName
from sequencer.plan.practice.staying import snug, start
from tests.plan.jobs import by_hand_where_nothing_is_said, names, there_and_back
from tests.plan.practice.chance import with_chance
from tests.support.plain_machine import load_machine
from tests.support.practice_back import BackJob
from tests.support.practice_reference import breaches
from tests.support.profile import counts
from tests.support.random_machines import random_machine

PICKED = (401, 409, 410, 413, 428, 436, 497, 549, 561, 601, 604)
"""Machines with all the rules among them, and some that can not be kept."""

MOST = 11
"""Operations that the reference puts in every order."""


def jobs(seeds):
    """Each machine that goes together in few enough steps: its text and targets, both ways under practice."""
    for seed in seeds:
        text, targets = random_machine(seed, 3, torques=True)
        text = with_chance(by_hand_where_nothing_is_said(text), seed)
        try:
            way_in, back = there_and_back(text, targets, practice=Practice.ALL)
        except SequencerError:
            continue
        if 1 < len(back.steps) <= MOST:
            yield seed, text, way_in, back


@pytest.fixture(autouse=True)
def _without_staying(monkeypatch):
    """Start and snug are read by a checker of their own."""
    monkeypatch.setattr(keep, "TABLE", tuple(rule for rule in keep.TABLE if rule not in (start, snug)))


def test_what_is_kept_is_what_can_be_kept_and_takes_the_least_time():
    rules, lost = dict.fromkeys((name.value for name in RuleName), 0), 0
    for seed, text, way_in, back in jobs(counts(quick=PICKED, nightly=range(1000))):
        job = BackJob(load_machine(text), names(way_in), names(back))
        kept, dropped, time = job.kept()
        mine = [(r.name.value, r.subject) for r in back.practice.kept]
        assert mine == [(s.rule, s.subject) for s in kept], seed
        assert {(d.name.value, d.subject) for d in back.practice.dropped} == dropped, seed
        assert breaches(job, kept, names(back)) == [], seed
        assert (sum(step.change_seconds for step in back.steps), back.proven) == (time, True), seed
        lost += len(dropped)
        for rule, _ in mine:
            rules[rule] += 1
    assert all(rules[name] for name in set(rules) - {"closing", "start", "snug"}), rules
    assert lost
