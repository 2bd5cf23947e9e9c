"""Times given as ranges: what a plan counts of them, and between which times the whole job lies."""

import math
import random
from fractions import Fraction

import pytest

from sequencer.document.plan import range_words, refit_document, teardown_document
from sequencer.machine.reading import read_text
from sequencer.quantities import QuantityError, RangedSeconds, parse_seconds, parse_time
from sequencer.render.data.plan import refit_json, teardown_json
from tests.plan.jobs import there_and_back
from tests.support.checker import check_plan
from tests.support.refit_checker import check_refit

RUSTY = """
machine: M
positions: {bench: {}}
tools: {bar: {drive: none}}
tasks: {soak: {time: 2 to 8 min, before: [box], undo: {time: 20 s}}}
parts:
  box:
    time: 1 to 4 min
    joints:
      bolts: {kind: bolt, tool: bar, count: 3, each: 20 s to 3 min}
      nut: {kind: nut, tool: bar, time: 30 s, fit: {time: 5 to 9 s}}
"""
ROUTE = [("off", "box")]


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
    """The same model drawn anew: each range its own log-normal, three fasteners as one."""
    into, back = there_and_back(RUSTY, ROUTE)
    luck, z = random.Random(7), 1.2815515655446004
    for plan, ranges in (
        (into, [(240, 4, 1), (120, 4, 1), (60, 9, 3)]),
        (back, [(120, 4, 1), (60, 9, 3), (7, Fraction(9, 5), 1)]),
    ):
        certain = float(plan.totals.seconds) - sum(middle * count for middle, _, count in ranges)
        low, high = plan.totals.range_seconds
        drawn = [
            certain + sum(m * n * math.exp(luck.gauss(0, math.log(s) / 2 / z)) for m, s, n in ranges)
            for _ in range(20_000)
        ]
        assert sum(low <= time <= high for time in drawn) / len(drawn) == pytest.approx(0.8, abs=0.02)
        assert sum(time < low for time in drawn) / len(drawn) == pytest.approx(0.1, abs=0.02)


def test_it_stands_in_the_heading_and_in_the_json():
    into, back = there_and_back(RUSTY, ROUTE)
    for plan, data, document in (
        (into, teardown_json(into), teardown_document),
        (back, refit_json(back), refit_document),
    ):
        low, high = data["totals"]["range_seconds"]
        assert low < data["totals"]["seconds"] < high
        assert any(f"{range_words(plan)}." in str(block) for block in document(plan))


def test_a_file_without_ranges_says_nothing_of_them():
    plain = RUSTY.replace("2 to 8", "4").replace("1 to 4", "2").replace("20 s to 3 min", "1 min")
    into, _ = there_and_back(plain.replace("5 to 9 s", "7 s"), ROUTE)
    assert "range_seconds" not in teardown_json(into)["totals"]
    assert range_words(into) == ""
