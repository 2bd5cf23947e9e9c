"""Two things to minimise in one whole number."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from sequencer.plan.order.prefer import Prefer, Scale

SECONDS = st.fractions(min_value=0, max_value=5000, max_denominator=12)


@given(times=st.lists(SECONDS, min_size=1, max_size=6), prefer=st.sampled_from(Prefer))
def test_sums_of_times_stay_exact(times, prefer):
    scale = Scale.fitting(times, prefer, sum(times) + 1)
    assert scale.split(sum(scale.cost(time) for time in times)) == (0, sum(times))


@given(a=st.tuples(st.integers(0, 40), SECONDS), b=st.tuples(st.integers(0, 40), SECONDS))
def test_costs_compare_as_count_first_and_time_second(a, b):
    scale = Scale.fitting([a[1], b[1]], Prefer.TOOL_CHANGES, Fraction(5001))
    cost = [scale.cost(seconds, count) for count, seconds in (a, b)]
    assert (cost[0] < cost[1]) is (a < b)
    assert [scale.split(c) for c in cost] == [a, b]


def test_where_time_comes_first_no_count_weighs_anything():
    scale = Scale.fitting([Fraction(1, 3)], Prefer.TIME, Fraction(10))
    assert (scale.per_second, scale.weight) == (3, 0)
    assert scale.cost(Fraction(2, 3), count=9) == 2
