"""What is named as not kept can't be kept: of each, the engine is asked for an order that keeps it."""

from pathlib import Path

import pytest

from sequencer.engine import Limits, Status, solve
from sequencer.errors import SequencerError
from sequencer.graph.operations import Because, Clause, Reason
from sequencer.graph.reverse import way_back
from sequencer.plan.order.setups import Changes
from sequencer.plan.practice import keep
from sequencer.plan.practice.ruled_job import PracticeJob
from sequencer.plan.practice.rules import Practice, Rule, RuleName, Why
from sequencer.plan.question import ask
from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.plan.jobs import by_hand_where_nothing_is_said, names, there_and_back
from tests.plan.practice.chance import with_chance
from tests.support.practice_checker import breaches_back
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine

ROOT = Path(__file__).parents[3]

SHORT = Limits(states=20_000)

MOST_STATES = 200_000
"""To find an order that keeps a rule; that there is none is mostly known at once."""

SHIPPED = {
    "examples/bench-pump.yaml": counts(quick=("seal",), nightly=("seal", "guard", "belt", "pulley", "motor")),
    "models/delivery-van.yaml": counts(quick=("coil-pack",), nightly=("head", "timing-belt", "undertray")),
}


def both_jobs(way_in, back):
    """Each plan with the operations that it has, as the rules look at them."""
    yield way_in, PracticeJob(way_in.graph.restricted(names(way_in))), Changes.of(way_in.machine)
    whole = way_back(way_in.graph, names(way_in))
    done = [name for name in names(back) if name in whole.graph.operations]
    yield back, PracticeJob(whole.graph.restricted(done), back=True), Changes.of(way_in.machine, whole.drives)


def left_out(job, kept):
    """The rules of the job that are not kept, each with those that are kept and come before it."""
    before = []
    for table in keep.TABLE:
        for rule in (rule for rule in table(job, before) if isinstance(rule, Rule)):
            if rule in kept:
                before.append(rule)
            else:
                yield rule, list(before)


def status(job, changes, rules):
    goals = [
        Clause((name,), Reason(Because.STATE, "it is done", op.place))
        for name, op in job.graph.operations.items()
    ]
    question = ask(job.graph, goals, changes, backwards=job.back, rules=rules)
    return solve(question.problem, Limits(states=MOST_STATES)).status


def waits(job, dropped):
    """An order that the rule would ask for where it is said to be the other way round."""
    joint = next((joint for joint in job.joints() if joint.path == dropped.other), None)
    first = {
        RuleName.SEATED: lambda: job.undo(joint),
        RuleName.CRACK: lambda: job.remove(dropped.other),
        RuleName.FACE: lambda: job.torque(joint),
    }[dropped.name]()
    pair = (dropped.at, first) if dropped.name is RuleName.FACE else (first, dropped.at)
    return Rule(dropped.name, dropped.subject, dropped.at, (pair,))


def unfounded(way_in, back):
    """Whatever is not kept of both plans though an order would keep it."""
    for plan, job, changes in both_jobs(way_in, back):
        named = {(d.name, d.subject): d for d in plan.practice.dropped}
        for rule, before in left_out(job, plan.practice.kept):
            dropped = named.get((rule.name, rule.subject))
            if dropped is None:
                yield f"{rule.name.value} {rule.subject} is not kept, and nobody says so"
            elif dropped.why is not Why.SEALANT:
                rules = [rule] if dropped.why is Why.MACHINE else [*before, rule]
                if status(job, changes, rules) is not Status.IMPOSSIBLE:
                    yield f"{rule.name.value} {rule.subject} could be kept: {dropped.why.value}"
        for dropped in plan.practice.dropped:
            if (
                dropped.why is Why.WAITS
                and status(job, changes, [waits(job, dropped)]) is not Status.IMPOSSIBLE
            ):
                yield f"{dropped.name.value} {dropped.subject} does not wait for {dropped.other}"


SHIPPED_PARTS = [(file, part) for file, parts in SHIPPED.items() for part in parts]


@pytest.mark.parametrize(
    ("file", "part"), counts(quick=SHIPPED_PARTS[:1], landing=SHIPPED_PARTS, nightly=SHIPPED_PARTS)
)
def test_on_a_machine_that_ships_no_reason_is_a_pretext(file, part):
    text = (ROOT / file).read_text(encoding="utf-8")
    way_in, back = there_and_back(text, [("off", part)], limits=SHORT, practice=Practice.ALL)
    assert list(unfounded(way_in, back)) == []
    assert breaches_back(by_hand_where_nothing_is_said(text), teardown_json(way_in), refit_json(back)) == []


@before_landing
def test_on_machines_by_chance_no_reason_is_a_pretext():
    reasons = set()
    for seed in counts(quick=range(3), landing=range(12), nightly=range(1000)):
        text, targets = random_machine(seed, 4, torques=True)
        text = with_chance(by_hand_where_nothing_is_said(text), seed)
        try:
            way_in, back = there_and_back(text, targets, limits=SHORT, practice=Practice.ALL)
        except SequencerError:
            continue
        assert list(unfounded(way_in, back)) == [], seed
        reasons |= {d.why for plan in (way_in, back) for d in plan.practice.dropped}
    assert not reasons.isdisjoint({Why.MACHINE, Why.EARLIER})
    assert Why.UNKNOWN not in reasons
