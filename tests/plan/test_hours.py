"""How long a job really takes: ranges, usual spreads, what all times share, mishaps, what a record tells."""

import math
import random

import numpy as np
import pytest

from sequencer.document.hours import hours_words, roughly
from sequencer.document.plans.plan import refit_document, teardown_document
from sequencer.machine.reading import read_text
from sequencer.plan.hours.hours import Hours, draws, reaching
from sequencer.plan.hours.hours_table import hours_table
from sequencer.plan.hours.mishaps import chance_of, mishaps
from sequencer.quantities import QuantityError, RangedSeconds, parse_seconds, parse_time
from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.plan.jobs import machine_of, there_and_back
from tests.support.checker import check_plan
from tests.support.profile import counts
from tests.support.refit_checker import check_refit

Z = 1.2815515655446004
"""Standard normal, one time in ten beyond (tables)."""

RUSTY = """
machine: M
positions: {bench: {}}
tools: {bar: {drive: none}}
tasks: {soak: {time: 2 to 30 min, before: [box], undo: {time: 20 s}}}
parts:
  box:
    time: 1 to 4 min
    joints:
      bolts: {kind: latch, tool: bar, count: 3, each: 20 s to 3 min}
      nut: {kind: latch, tool: bar, time: 30 s, fit: {time: 5 to 9 s}}
"""
"""A latch never seizes: all that is uncertain are its times."""
ROUTE = [("off", "box")]
RANGED = {(465, 1), (120, 1), (60, 3), (7, 1)}
"""Middle and count of the times that are ranges there."""


@pytest.mark.parametrize(
    ("text", "counts"),
    [("1 to 4 min", 120), ("90 s to 4 min", 147), ("1 to 2", 1), ("0.5 to 2 h", 3600), ("1 min to 1 h", 465)],
)
def test_a_range_counts_its_geometric_mean_to_the_second(text, counts):
    time = parse_time(text)
    assert isinstance(time, RangedSeconds)
    assert time == counts


@pytest.mark.parametrize("text", ["4 to 1 min", "0 to 3 min", "2 to 2 min", "1 to min", "1 to 4 kg"])
def test_what_is_no_range_is_refused(text):
    with pytest.raises(QuantityError):
        parse_time(text)


def test_a_range_is_refused_where_no_work_is_timed():
    with pytest.raises(QuantityError):
        parse_seconds("1 to 4 min")
    text = "machine: M\npace:\n  swap: 1 to 4 s\nparts: {a: {joints: {j: {kind: clip}}}}\n"
    assert str(read_text(text, "m.yaml").faults[0]).startswith("m.yaml:3:9: 1 to 4 s is a range")


def test_the_second_reading_counts_the_same():
    into, back = there_and_back(RUSTY, ROUTE)
    assert not check_plan(RUSTY, ROUTE, teardown_json(into))
    assert not check_refit(RUSTY, ROUTE, teardown_json(into), refit_json(back))


def test_eight_times_in_ten_the_jobs_time_lies_between_as_drawn_by_lot():
    """The same model drawn anew: a factor for all, one for each kind of work, and each time's own luck."""
    into, back = there_and_back(RUSTY, ROUTE)
    rules = hours_table()
    dev = {
        key: math.log(rules[key]) / 2 / Z for key in ("person", "machine", "rusty", "day", "ranged", "alike")
    }
    shared = math.hypot(*(dev[key] for key in ("person", "machine", "rusty", "day")))
    latch, task, slower = 4, rules["spread"]["task"], math.log(rules["slower"])
    chance = random.Random(7)
    for plan, times in (
        (into, [(465, 15, 1, "task"), (120, 4, 1, "off"), (60, 9, 3, "latch"), (30, latch, 1, "latch")]),
        (back, [(20, task, 1, "undo"), (120, 4, 1, "off"), (60, 9, 3, "latch"), (7, 9 / 5, 1, "latch")]),
    ):
        changes = float(plan.totals.seconds) - sum(middle * count for middle, _, count, _ in times)
        drawn = []
        for _ in range(counts(quick=4_000, landing=20_000, nightly=20_000)):
            off, ranges = shared * chance.gauss(0, 1), dev["ranged"] * chance.gauss(0, 1)
            kinds = {what: chance.gauss(0, 1) for *_, what in times}
            total = changes * math.exp(slower + off)
            for middle, ratio, count, what in times:
                known, whole = (middle, count) in RANGED, math.log(ratio) / 2 / Z
                most = math.hypot(shared, dev["ranged"]) if known else shared
                part = min(whole * math.sqrt(0.5) if known else whole, most)
                kind = min(math.sqrt(whole**2 - part**2), dev["alike"])
                own = math.sqrt(max(whole**2 - part**2 - kind**2, 0))
                drift = part / most * (off + ranges * known) + slower * (not known)
                total += middle * count * math.exp(drift + kind * kinds[what] + own * chance.gauss(0, 1))
            drawn.append(total)
        hours = plan.hours
        for end, share in ((hours.low, 0.15), (hours.likely, 0.5), (hours.high, 0.95)):
            assert sum(time < end for time in drawn) / len(drawn) == pytest.approx(share, abs=0.02)


def test_what_most_of_it_comes_from_is_named_with_its_step():
    into, _ = there_and_back(RUSTY, ROUTE)
    assert [doubt.subject for doubt in into.hours.doubts][:1] == ["soak"]
    assert any("Most of the uncertainty: soak (" in str(block) for block in teardown_document(into))


def test_it_stands_in_the_heading_and_in_the_json():
    into, back = there_and_back(RUSTY, ROUTE)
    for plan, data, document in (
        (into, teardown_json(into), teardown_document),
        (back, refit_json(back), refit_document),
    ):
        low, high = data["totals"]["range_seconds"]
        assert low < data["totals"]["likely_seconds"] < high
        assert any(hours_words(plan.hours)[1:] in str(block) for block in document(plan))


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (4, "10 s"),
        (44, "40 s"),
        (100, "2 min"),
        (584, "10 min"),
        (2000, "35 min"),
        (13_300, "3 h 45 min"),
        (30_000, "8 h 30 min"),
        (43_000, "12 h"),
    ],
)
def test_a_time_is_told_as_one_would_say_it(seconds, words):
    assert roughly(seconds) == words


def test_the_words_cannot_be_misread():
    told = hours_words(Hours(13_300, 18_100, 25_000))
    assert told == "about 5 h (3 h 45 min to 7 h, 8 times in 10)"
    assert hours_words(Hours(8, 10, 12)) == "about 10 s"


STUDS = """
machine: M
condition: {rust: %s}
positions: {front: {}, under: {below: true}}
parts:
  exhaust: {joints: {nuts: {kind: nut, head: 13, count: 2, thread: M8}}}
  bracket: {joints: {bolt: {kind: bolt, head: 13, thread: M8}}}
  cover:   {joints: {screws: {kind: bolt, head: 10, thread: M6}}}
  tray:    {from: under, joints: {bolt: {kind: bolt, head: 13, thread: M8}}}
  new:     {condition: {rust: none}, joints: {bolt: {kind: bolt, head: 13, thread: M8}}}
  hub:     {joints: {nut: {kind: bolt, head: 30, thread: M20, torque: 200 N.m}}}
"""


def test_heat_salt_size_and_rust_make_trouble_likelier():
    rules = hours_table()["trouble"]
    for rust in ("none", "light", "heavy"):
        machine = machine_of(STUDS % rust)

        def chance(part, machine=machine):
            (joint,) = machine.parts[part].joints.values()
            return chance_of(machine, joint)

        plain = 0.01 * rules["rust"][rust]
        assert chance("bracket") == pytest.approx(plain)
        assert chance("exhaust") == pytest.approx(plain * 1.2 * rules["hot"])
        assert chance("cover") == pytest.approx(plain * rules["small"])
        assert chance("tray") == pytest.approx(plain * rules["wet"])
        assert chance("hub") == pytest.approx(plain * rules["tight"])
        assert chance("new") == pytest.approx(0.01 * rules["rust"]["none"])


def test_age_tells_and_a_part_may_be_younger():
    text = STUDS.replace("{rust: %s}", "{age: 20 years}").replace("{rust: none}", "{age: 5}")
    machine = machine_of(text)
    old, young = (chance_of(machine, machine.parts[part].joints["bolt"]) for part in ("bracket", "new"))
    age = hours_table()["trouble"]["age"]
    assert (old, young) == (pytest.approx(0.01 * age), pytest.approx(0.01 * age**-0.5))


def test_what_a_mishap_costs_on_average_is_what_its_ways_out_cost():
    into, _ = there_and_back(STUDS % "light", [("off", "bracket")])
    (one,) = mishaps(into.machine, into.operations)
    first, second, third, fourth, last = one.seconds
    cost = first + second / 2 + third / 4 + fourth / 8 + last / 16  # each helps one time in two
    assert one.expected == pytest.approx(0.01 * cost)


def test_rust_makes_the_range_wider_and_not_the_exact_time():
    new, rusty = (there_and_back(STUDS % rust, [("off", "exhaust")])[0] for rust in ("none", "heavy"))
    assert new.totals.seconds == rusty.totals.seconds
    assert rusty.hours.high > 1.5 * new.hours.high


@pytest.mark.parametrize(
    ("line", "fault"),
    [
        ("condition: {rust: some}", "'some' does not say how far rust has gone"),
        ("condition: {age: old}", "'old' is no age"),
        ("condition: {dust: much}", "`dust` is not a key of a condition"),
    ],
)
def test_a_condition_that_says_nothing_is_refused_with_its_line(line, fault):
    (told,) = read_text(
        f"machine: M\n{line}\nparts: {{a: {{joints: {{j: {{kind: clip}}}}}}}}\n", "m.yaml"
    ).faults
    assert told.place.line == 2
    assert fault in told.problem


def test_the_chance_of_a_step_falls_with_each_and_is_that_of_the_whole_at_the_end():
    into, _ = there_and_back(RUSTY, ROUTE)
    told = reaching(into.machine, into.steps, into.hours.high)
    assert [sure for sure, _ in told] == sorted((sure for sure, _ in told), reverse=True)
    assert told[-1] == (pytest.approx(0.95, abs=0.001), pytest.approx(into.hours.likely, abs=1))
    assert reaching(into.machine, into.steps, 0)[0][0] == 0


def test_what_was_cracked_gives_no_more_trouble():
    into, _ = there_and_back(STUDS % "heavy", [("off", "exhaust")])
    assert [one.joint for one in mishaps(into.machine, into.operations)] == ["exhaust/nuts"]
    assert not list(mishaps(into.machine, into.operations, ["crack exhaust/nuts"]))
    assert list(mishaps(into.machine, into.operations, ["fasten exhaust/nuts"]))


def test_a_range_in_the_file_is_kept_as_it_was_said():
    text = "machine: M\nparts: {a: {time: 1 to 4 min}}\n"
    into, _ = there_and_back(text, [("off", "a")])
    taken = draws(into.machine, into.steps).steps.sum(axis=0)
    assert np.quantile(taken, (0.1, 0.9)) == pytest.approx((60, 240), rel=0.03)
