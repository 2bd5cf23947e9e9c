"""The rules of the way in, held against an exhaustive reference on machines by chance."""

import random

import pytest

from sequencer.graph import UnreachableError
from sequencer.plan.practice.rules import Practice
from sequencer.render.data.plans.plan import teardown_json
from tests.plan.jobs import names, teardown
from tests.plan.practice.chance import add_crack, add_helpers, add_jacks, alone
from tests.support.checker import check_plan
from tests.support.plain_machine import as_data, as_text, load_machine
from tests.support.practice_in import WayIn
from tests.support.profile import counts
from tests.support.random_machines import random_machine

RULES = ("carried", "hold", "crack", "seated", "serves")

MOST = 11
"""Operations that the reference puts in every order."""


def machine_with_weights(seed):
    """A machine by chance whose parts weigh something; more joints are cracked, some have a helper."""
    text, targets = random_machine(seed, 3)
    machine, rng = as_data(text), random.Random(f"weights {seed}")
    for part in machine["parts"].values():
        if rng.random() < 0.7:
            part["weight"] = rng.choice(("1 kg", "3 kg", "14 kg"))
        if rng.random() < 0.2:
            part["hold"] = rng.random() < 0.7
        for joint in part["joints"].values():
            if rng.random() < 0.15:
                joint["kind"] = rng.choice(("clip", "hook", "latch", "pin", "clamp"))
                joint.setdefault("tool", "hand")
                joint.pop("head", None)
    add_crack(rng, machine)
    add_helpers(rng, machine)
    add_jacks(rng, machine)
    return as_text(machine), targets


def jobs(seeds):
    """Each machine that comes apart in few enough steps: its text, targets, and plain plan."""
    for seed in seeds:
        text, targets = machine_with_weights(seed)
        try:
            plain = teardown(text, targets)
        except UnreachableError:
            continue
        if 1 < len(plain.steps) <= MOST:
            yield seed, text, targets, plain


FEW = (3, 4, 5, 6)
"""Of the first machines those in which each rule is kept, and whose orders are soon through."""


RUN_IN_RUN = 2175
"""One helper's second joint waits for another helper's, since nothing else may come in that one's run."""


@pytest.mark.parametrize("only", [None, *counts(quick=RULES[1:2], landing=RULES, nightly=RULES)])
def test_what_is_kept_is_what_can_be_kept_and_takes_the_least_time(only, monkeypatch):
    if only:
        alone(only, monkeypatch)
    kept_ones, lost, asked = dict.fromkeys(RULES, 0), 0, 0
    for seed, text, targets, plain in jobs(
        counts(
            quick=FEW if only else range(3, 14),
            landing=(*FEW, RUN_IN_RUN) if only else range(24),
            nightly=range(2000),
        )
    ):
        plan = teardown(text, targets, practice=Practice.ALL)
        job = WayIn(load_machine(text), names(plain))
        kept, dropped, time = job.kept(only)
        assert set(names(plan)) == job.chosen, seed
        assert [(r.name.value, r.subject) for r in plan.practice.kept] == [
            (s.rule, s.subject) for s in kept
        ], seed
        assert {(d.name.value, d.subject) for d in plan.practice.dropped} == dropped, seed
        assert job.breaches(kept, names(plan)) == [], seed
        assert (sum(step.change_seconds for step in plan.steps), plan.proven) == (time, True), seed
        assert plan.practice.added.seconds == plan.totals.seconds - plain.totals.seconds
        # What is done is what the plain plan does, though in this order it may do more than is needed.
        faults = check_plan(text, targets, teardown_json(plan))
        assert [fault for fault in faults if not fault.startswith("superfluous")] == [], seed
        lost += len(dropped)
        asked += plan.practice.added.seconds > 0
        for rule in kept:
            kept_ones[rule.rule] += 1
    assert kept_ones[only] if only else all(kept_ones.values()), kept_ones
    assert only or (lost and asked)
