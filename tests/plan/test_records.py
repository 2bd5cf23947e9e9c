"""What a person's records tell: person, machine and kind apart, and no clock that was forgotten."""

import math
import random
from dataclasses import replace

import pytest

from sequencer.machine.facts.learned import COMMON, RANGED, Rate
from sequencer.machine.facts.time_of import TimeOf
from sequencer.plan.hours.fights import luck_of, trouble_drawn
from sequencer.plan.hours.records import Cell, JobRecord, Stretch, ToldPace, judged, known_from, usual
from sequencer.plan.hours.spreads import deviation_of, spread_of, timed_by
from tests.plan.jobs import machine_of, there_and_back
from tests.support.profile import before_landing

BENCH = """
machine: M
positions: {front: {}}
parts:
  lid:
    joints:
%s
"""
JOINTS = [("bolt", n) for n in range(12)] + [("hose", n) for n in range(12)]
TEXT = BENCH % "\n".join(f"      {kind}{n}: {{kind: {kind}, tool: hand, time: 60 s}}" for kind, n in JOINTS)


@pytest.fixture(scope="module")
def steps():
    into, _ = there_and_back(TEXT, [("off", "lid")])
    return [step for step in into.steps if step.operation.joint]


def stretches(steps, factors, late=()):
    """Each step by itself, at its kind's factor; ``late``: the clock ran on for hours."""
    return [
        Stretch(
            [step],
            float(step.seconds + step.change_seconds) * factors[step.operation.joint.rstrip("0123456789")]
            + (7200 if number in late else 0),
        )
        for number, step in enumerate(steps)
    ]


def test_before_any_record_a_range_is_right_in_the_middle_and_plain_times_are_short():
    known = usual()
    assert known.middle(ranged=True) == pytest.approx(0)
    assert float(known.factor()) == pytest.approx(1.2)


def test_who_is_slow_at_all_is_slow_and_who_is_slow_at_hoses_is_slow_at_hoses(steps):
    machine = machine_of(TEXT)
    slow = judged(usual(), machine, stretches(steps, {"bolt": 2, "hose": 2})).known
    assert float(slow.factor()) == pytest.approx(2, rel=0.12)
    assert abs(slow.mean("hose")) < 0.05
    uneven = judged(usual(), machine, stretches(steps, {"bolt": 1.2, "hose": 2})).known
    assert float(uneven.factor("bolt")) == pytest.approx(1.2, rel=0.1)
    assert float(uneven.factor("hose")) == pytest.approx(2, rel=0.15)
    assert uneven.factor("bolt") < uneven.factor() < uneven.factor("hose")
    assert uneven.deviation(COMMON) < usual().deviation(COMMON) / 2


def test_more_records_draw_it_from_what_is_usual_and_narrow_it(steps):
    machine = machine_of(TEXT)
    told = [
        judged(usual(), machine, stretches(steps[:many], {"bolt": 2, "hose": 2})).known for many in (1, 4, 24)
    ]
    middles, widths = [one.middle() for one in told], [one.deviation(COMMON) for one in told]
    assert middles == sorted(middles)
    assert math.log(1.2) < middles[0]
    assert widths == sorted(widths, reverse=True)


@pytest.mark.parametrize("factor", [0.6, 1.0, 2.5])
def test_a_forgotten_clock_hardly_moves_it(steps, factor):
    machine, factors = machine_of(TEXT), {"bolt": factor, "hose": factor}
    clean, late = (
        judged(usual(), machine, stretches(steps, factors, late)).known.factor() for late in ((), (3, 17))
    )
    assert float(late / clean) == pytest.approx(1, rel=0.04)
    one = judged(usual(), machine, stretches(steps[:1], factors, (0,))).known  # nothing else to go by
    assert float(one.factor()) == pytest.approx(1.2, rel=0.25)


def records(person, machines, weight=200.0):
    """A job on each machine, which adds so much to the person."""
    return [
        JobRecord(f"{number}", {Cell("bolt", False): ToldPace(person + machines[name], weight)}, name)
        for number, name in enumerate(machines)
    ]


def test_the_machine_is_told_from_the_person_by_other_jobs():
    person, here = math.log(1.5), machine_of(TEXT)
    machines = {"A": 0.0, "B": 0.0, "C": 0.0, "M": 0.4}
    known = known_from(records(person, machines), here)
    other = known_from(records(person, machines), replace(here, name="new"))
    assert known.beside > 0.08
    assert abs(other.beside) < 0.02
    assert other.middle("bolt") < known.middle("bolt") < person + 0.4
    assert other.deviation(COMMON) > known.deviation(COMMON)


def test_ranges_narrow_with_every_job_but_a_new_machine_stays_unknown():
    here = machine_of(TEXT)
    widths = [
        known_from(records(0.3, {f"{n}": 0.0 for n in range(many)}), here).deviation(COMMON)
        for many in (0, 1, 3, 10, 100)
    ]
    assert widths == sorted(widths, reverse=True)
    assert widths[0] == pytest.approx(usual().deviation(COMMON))
    assert widths[-1] > deviation_of("machine", "day")


def test_rusty_machines_are_told_from_clean_ones():
    told = [
        replace(one, rust="heavy" if number % 2 else "none")
        for number, one in enumerate(records(0.2, {f"{n}": 0.3 * (n % 2) for n in range(8)}))
    ]
    rusty, clean = (
        known_from(told, machine_of(TEXT.replace("machine: M", f"machine: M\ncondition: {{rust: {rust}}}")))
        for rust in ("heavy", "none")
    )
    assert rusty.middle() > clean.middle() + 0.05


def test_a_job_tells_what_it_told_again_from_its_record(steps):
    machine = machine_of(TEXT)
    one = judged(known_from([], machine), machine, stretches(steps, {"bolt": 1.3, "hose": 1.8}))
    kept = known_from([JobRecord("j", one.told, machine.name)], machine)
    for kind in ("bolt", "hose"):
        assert kept.middle(kind) == pytest.approx(one.known.middle(kind), abs=0.1)
    assert kept.deviation(COMMON) > one.known.deviation(COMMON)  # another day


def test_what_is_told_of_ranges_stays_with_ranges():
    told = {Cell("task", True): ToldPace(0.5, 100.0), Cell("task", False): ToldPace(0.5, 100.0)}
    known = known_from([JobRecord("j", told)], machine_of(TEXT))
    assert known.mean(RANGED) > usual().mean(RANGED)
    assert known.middle("task", ranged=True) == pytest.approx(0.5, abs=0.1)


def test_a_range_is_half_the_persons_at_most_and_keeps_its_width():
    machine = machine_of("machine: M\nparts: {a: {time: 1 to 4 min}}\n")
    spread = spread_of(machine, TimeOf("remove", "a"))
    assert math.hypot(*spread) == pytest.approx(math.log(4) / 2 / 1.2815515655446004)
    assert spread.shared**2 <= spread.kind**2 + spread.own**2 + 1e-9


@before_landing
def test_luck_averages_out_and_eight_in_ten_hold(steps):
    """The model drawn anew: what it says of a person's factor after a job holds as often as it says."""
    machine, rng, held = machine_of(TEXT), random.Random(4), 0
    own = {step.operation.joint: spread_of(machine, timed_by(step.operation)) for step in steps}
    for _ in range(120):
        common = usual().mean(COMMON) + usual().deviation(COMMON) * rng.gauss(0, 1)
        kinds = {kind: deviation_of("alike") * rng.gauss(0, 1) for kind in ("bolt", "hose")}
        told = [
            Stretch(
                [step],
                float(step.seconds + step.change_seconds)
                * math.exp(
                    common
                    + kinds[step.operation.joint.rstrip("0123456789")]
                    + math.hypot(own[step.operation.joint].own, deviation_of("clock")) * rng.gauss(0, 1)
                ),
            )
            for step in steps
        ]
        known = judged(usual(), machine, told).known
        told_of = math.sqrt(known.deviation(COMMON) ** 2 - deviation_of("day") ** 2)
        held += abs(known.mean(COMMON) - common) < 1.2816 * told_of
    assert 0.7 <= held / 120 <= 0.92


def test_fasteners_that_fight_back_are_expected_to_go_on_with_it_most_of_all_on_that_machine(steps):
    machine = machine_of(TEXT.replace("machine: M", "machine: M\ncondition: {rust: heavy}"))
    even = stretches(steps, {"bolt": 1.2, "hose": 1.2})
    fought = [one._replace(taken=one.taken + (0 if number % 4 else 1800)) for number, one in enumerate(even)]
    calm, rough = (judged(usual(), machine, one) for one in (even, fought))
    assert calm.trouble.counted < 1 < 3 < rough.trouble.counted <= 6
    assert calm.trouble.expected == rough.trouble.expected > 0
    assert trouble_drawn(calm.known)[0] < 1 < 2 < trouble_drawn(rough.known)[0]
    told = [JobRecord("j", rough.told, "M", "heavy", "", rough.trouble, rough.luck)]
    here, there = (known_from(told, replace(machine, name=name)) for name in ("M", "new"))
    assert 1 < trouble_drawn(there)[0] < trouble_drawn(here)[0]
    assert trouble_drawn(here)[1] < trouble_drawn(there)[1] == pytest.approx(trouble_drawn(usual())[1])


def test_times_that_lie_far_off_widen_what_is_said_and_even_ones_never_narrow_it(steps):
    machine, lots = machine_of(TEXT), random.Random(4)
    even, wild = (
        judged(
            usual(), machine, [one._replace(taken=one.taken * math.exp(lots.gauss(0, far))) for one in told]
        )
        for told, far in [(stretches(steps, {"bolt": 1.2, "hose": 1.2}), far) for far in (0.0, 1.2)]
    )
    assert even.luck.mean < 0.2
    assert luck_of(even.known) == 1
    assert wild.luck.mean > 1.5
    assert 1 < luck_of(wild.known) < wild.luck.mean
    calm, far = (known_from([JobRecord("j", one.told, luck=one.luck)], machine) for one in (even, wild))
    assert luck_of(calm) == luck_of(usual()) == 1
    assert luck_of(far) == pytest.approx(luck_of(wild.known))


def test_a_record_without_counts_leaves_trouble_and_luck_as_usual():
    known = known_from(records(0.3, {"A": 0.0}), machine_of(TEXT))
    assert trouble_drawn(known) == pytest.approx(trouble_drawn(usual()))
    assert luck_of(known) == 1
    assert known.trouble.having(Rate(2, 1)).mean > 1
