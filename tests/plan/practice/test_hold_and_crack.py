"""The rules of the way in, held against an exhaustive reference on machines by chance."""

import io
import random

from ruamel.yaml import YAML

from sequencer.graph import UnreachableError
from sequencer.graph.serving import with_putting_away
from sequencer.plan.practice.job import Job as OwnJob
from sequencer.plan.practice.judge import some_order
from sequencer.plan.practice.keep import keep
from sequencer.plan.practice.rules import Practice
from sequencer.render.data.plan import teardown_json
from tests.plan.jobs import names, teardown
from tests.plan.practice.chance import add_crack, add_helpers, add_jacks
from tests.support.checker import check_plan
from tests.support.plain_machine import load_machine
from tests.support.practice_reference import Job, breaches
from tests.support.profile import counts
from tests.support.random_machines import random_machine

MOST = 11
"""Operations that the reference puts in every order."""


def machine_with_weights(seed):
    """A machine by chance whose parts weigh something; more joints are cracked, some have a helper."""
    text, targets = random_machine(seed, 3)
    yaml = YAML(typ="safe", pure=True)
    yaml.sort_base_mapping_type_on_output = False
    yaml.representer.ignore_aliases = lambda *_: True
    machine, rng = yaml.load(text), random.Random(f"weights {seed}")
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
    out = io.StringIO()
    yaml.dump(machine, out)
    return out.getvalue(), targets


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


def kept_of(plain):
    graph, order = with_putting_away(plain.graph, names(plain))
    job = OwnJob(graph.restricted(order))
    return keep(job, lambda rules: some_order(job, rules, order))


def test_what_is_kept_is_what_can_be_kept():
    rules = {"carried": 0, "hold": 0, "crack": 0, "seated": 0, "serves": 0}
    lost = 0
    for seed, text, _, plain in jobs(counts(quick=range(30), nightly=range(2000))):
        found = kept_of(plain)
        job = Job(load_machine(text), names(plain))
        kept, dropped, _ = job.kept()
        mine = [(r.name.value, r.subject) for r in found.rules]
        assert mine == [(s.rule, s.subject) for s in kept], seed
        assert {(d.name.value, d.subject) for d in found.dropped} == dropped, seed
        assert breaches(job, kept, found.order) == [], seed
        lost += len(dropped)
        for rule, _ in mine:
            rules[rule] += 1
    assert min(rules.values()) >= 2
    assert lost


def test_the_order_takes_the_least_time_that_keeps_it():
    asked = 0
    for seed, text, targets, plain in jobs(counts(quick=range(15), landing=range(40), nightly=range(1000))):
        plan = teardown(text, targets, practice=Practice.ALL)
        job = Job(load_machine(text), names(plain))
        kept, _, time = job.kept()
        assert set(names(plan)) == job.chosen, seed
        assert breaches(job, kept, names(plan)) == [], seed
        assert (plan.totals.seconds, plan.proven) == (time, True), seed
        assert plan.practice.seconds == time - plain.totals.seconds
        assert check_plan(text, targets, teardown_json(plan)) == [], seed
        asked += plan.practice.seconds > 0
    assert asked >= 3
