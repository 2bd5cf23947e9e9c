"""The least number of sittings, then the least time: what a trial of every order comes to as well."""

import random
from dataclasses import replace
from fractions import Fraction

import pytest

from sequencer.errors import SequencerError
from sequencer.machine.reading import read_text
from sequencer.plan.evenings.cut import divided
from sequencer.plan.evenings.evenings import SHARES, in_sittings
from sequencer.plan.evenings.ground import Ground
from sequencer.plan.evenings.least import fewest, shortest
from sequencer.plan.evenings.load import Load
from sequencer.plan.evenings.short_open import short_open
from sequencer.plan.evenings.wish import SittingsWish
from sequencer.plan.evenings.worth import Worth
from sequencer.plan.order.replay import is_workable
from sequencer.plan.practice.rules import Practice, kept_by
from sequencer.plan.refit import plan_refit
from sequencer.plan.teardown import plan_teardown
from tests.plan.jobs import own_targets
from tests.support.profile import counts
from tests.support.random_machines import random_machine
from tests.support.sittings_reference import Reference, TooManyError, graph_and_changes

SOON = (0, 3, 4, 6, 7, 8, 9, 10, 11, 13, 14, 15, 18, 19, 20)
"""Of the first those that are soon through."""

MACHINES = counts(quick=SOON, landing=range(40), nightly=range(500))
MOST_ORDERS, MOST_STEPS = 40, 9


def allows(possible, order):
    """Whether each of all steps may come next in its turn."""
    done, last = 0, -1
    for step in order:
        if not possible.next(done, last) >> step & 1:
            return False
        done, last = done | 1 << step, step
    return True


def plans_by_chance(seed):
    """A small plan of each way, where there is one, with a wish; some of its parts stay by themselves."""
    rng = random.Random(f"sittings {seed}")
    text, targets = random_machine(seed, rng.choice((2, 2, 3)), torques=True)
    machine = read_text(text).machine
    parts = {
        name: replace(
            part, hold=rng.choice((False, False, False, None)), weight_kg=rng.choice((None, 1.0, 6.0))
        )
        for name, part in machine.parts.items()
    }
    pace = replace(machine.pace, set_up=Fraction(20), clear_up=Fraction(10))
    machine = replace(machine, parts=parts, pace=pace)
    practice = rng.choice((Practice.ALL, Practice.ALL, Practice.NONE))
    try:
        into = plan_teardown(machine, own_targets(machine, targets), practice=practice)
        both = into, plan_refit(into, practice=practice)
    except SequencerError:
        return
    for plan in both:
        if 1 < len(plan.steps) <= MOST_STEPS:
            whole = float(plan.totals.seconds) * rng.choice((0.8, 1.4, 2.0))
            lengths = [
                Fraction(round(60 + whole * rng.uniform(0.3, 1.5))) for _ in range(rng.choice((1, 1, 2)))
            ]
            yield plan, SittingsWish(tuple(lengths), rng.choice((0.5, 0.8, 0.8, 0.9)))


@pytest.mark.parametrize("seed", MACHINES)
def test_no_order_and_no_cuts_are_better(seed):
    for plan, wish in plans_by_chance(seed):
        try:
            worth, longest = Reference(plan, wish.lengths, wish.chance).best(MOST_ORDERS)
        except TooManyError:
            continue
        found = in_sittings(plan, wish)
        assert found.proven
        work = [op.name for op in found.plan.operations]
        graph, _ = graph_and_changes(found.plan)
        order = work[::-1] if plan.back else work
        assert is_workable(graph, order)
        assert all(kept_by(plan.practice.kept if plan.practice else (), order))
        whole = sum(one.seconds for one in found.sittings) - len(found.sittings) * 30
        looks = sum(one.stop.verdict.name == "LOOK" for one in found.sittings[:-1])
        over = sum(one.over for one in found.sittings)
        snug = sum(left.left.name == "SNUG" for one in found.sittings[:-1] for left in one.stop.loose)
        assert (over, len(found.sittings), whole, snug, looks) == worth
        assert (found.shortest is None) == (over == 0)
        if over:
            assert found.shortest == longest
        ground = Ground(plan, Load(plan, wish))
        assert shortest(ground) <= longest
        if not over:
            assert fewest(ground) <= worth[1]
        for order in filter(
            None, (tuple(range(ground.size)), *(short_open(ground, share) for share in SHARES))
        ):
            assert allows(ground.possible, order)
            assert divided(ground, order).worth >= Worth(*worth)
