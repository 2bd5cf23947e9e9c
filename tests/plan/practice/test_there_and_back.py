"""Both ways of machines by chance, read by the independent checkers: nothing is broken that is not named."""

from sequencer.engine.problem import Limits
from sequencer.errors import SequencerError
from sequencer.plan.onward.present import Direction, Present
from sequencer.plan.onward.turned import plan_back
from sequencer.plan.practice.rules import Practice
from sequencer.plan.resume import replan
from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.plan.jobs import by_hand_where_nothing_is_said, names, there_and_back
from tests.plan.practice.chance import with_chance
from tests.support.checker import check_plan
from tests.support.practice_checker import breaches_back
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine
from tests.support.refit_checker import check_refit

SHORT = Limits(states=20_000)


@before_landing
def test_nothing_is_broken_that_is_not_named():
    kept, dropped = set(), set()
    for seed in counts(quick=[*range(5), 311], landing=[*range(12), 311], nightly=range(1500)):
        text, targets = random_machine(seed, 4, torques=True)
        text = with_chance(by_hand_where_nothing_is_said(text), seed)
        try:
            plain_in, plain_back = there_and_back(text, targets, limits=SHORT)
        except SequencerError:
            continue
        way_in, back = there_and_back(text, targets, limits=SHORT, practice=Practice.ALL)
        there, home = teardown_json(way_in), refit_json(back)
        assert set(names(way_in)) - {"restore bar", "restore lock"} == set(names(plain_in)), seed
        assert set(names(back)) - {"task bar", "task lock"} == set(names(plain_back)), seed
        assert [fault for fault in check_plan(text, targets, there) if "less" not in fault] == [], seed
        assert check_refit(text, targets, there, home) == [], seed
        assert breaches_back(text, there, home) == [], seed
        kept |= {rule.name for plan in (way_in, back) for rule in plan.practice.kept}
        dropped |= {rule.name for plan in (way_in, back) for rule in plan.practice.dropped}
    assert len(kept) >= counts(quick=4, landing=5, nightly=5)
    assert dropped


def test_what_is_left_of_a_plan_is_left_as_it_is_by_a_new_one():
    """Half-way, both ways: no rule of good practice asks for another order than before."""
    looked_at = 0
    for seed in counts(quick=range(2), landing=range(8), nightly=range(400)):
        text, targets = random_machine(seed, 5, torques=True)
        text = by_hand_where_nothing_is_said(text)
        try:
            way_in, back = there_and_back(text, targets, limits=SHORT, practice=Practice.ALL)
        except SequencerError:
            continue
        machine, order = way_in.machine, names(way_in)
        for begun in range(1, len(order), 2):
            there = Present(done=tuple(order[:begun]))
            again = replan(machine, way_in.targets, there, order[begun:], practice=Practice.ALL)
            assert names(again.plan) == order[begun:], (seed, begun)
        home = [name for name in names(back) if not name.startswith("seal ")]
        for begun in range(1, len(home), 2):
            there = Present(tuple(order), back=tuple(home[:begun]), direction=Direction.TOGETHER)
            left = home[begun:]
            again = plan_back(machine, way_in.targets, there, former=left, practice=Practice.ALL)
            assert [name for name in names(again.refit) if not name.startswith("seal ")] == left, (
                seed,
                begun,
            )
            looked_at += 1
    assert looked_at > counts(quick=4, landing=20, nightly=20)
