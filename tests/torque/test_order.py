import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.tightening.bolt_order import RING_TOLERANCE, bolt_order, cross_indexes

# Cross pattern of ASME PCC-1 (legacy method), bolts numbered round the circle. 4 to 24 from memory; 12 also
# at wjlr.roverradio.com/post/12-bolt-flange-torque-pattern, and the figure at scribd.com/document/546575141
# shows 4, 8 and 12 numbered in tightening order the same way.
PCC_1 = {
    4: "1 3 2 4",
    8: "1 5 3 7 2 6 4 8",
    12: "1 7 4 10 2 8 5 11 3 9 6 12",
    16: "1 9 5 13 3 11 7 15 2 10 6 14 4 12 8 16",
    20: "1 11 6 16 3 13 8 18 5 15 10 20 2 12 7 17 4 14 9 19",
    24: "1 13 7 19 4 16 10 22 2 14 8 20 5 17 11 23 3 15 9 21 6 18 12 24",
}


@pytest.mark.parametrize(("count", "order"), PCC_1.items())
def test_a_flange_is_tightened_in_the_cross_pattern_of_pcc_1(count, order):
    assert " ".join(bolt_order(count, pattern="cross").tighten) == order


def test_a_wheel_of_five_is_tightened_in_a_star():
    # Common practice.
    assert bolt_order(5).tighten == ("1", "3", "5", "2", "4")


@given(st.integers(1, 80))
def test_a_cross_names_every_bolt_once(count):
    assert sorted(cross_indexes(count)) == list(range(count))


@given(st.integers(1, 40))
def test_an_even_cross_goes_in_opposite_pairs(half):
    indexes = cross_indexes(2 * half)
    for first, second in zip(indexes[::2], indexes[1::2], strict=True):
        assert (second - first) % (2 * half) == half


@given(st.integers(2, 30))
def test_an_odd_star_never_goes_to_a_neighbour_while_there_is_a_further_one(half):
    count = 2 * half + 1
    for first, second in itertools.pairwise(cross_indexes(count)):
        assert (second - first) % count in {half, half + 1}


def head(columns, spacing, width):
    """Two rows of bolts, top row first, as a cylinder head has them."""
    xs = [spacing * (index - (columns - 1) / 2) for index in range(columns)]
    return [(x, y) for y in (width / 2, -width / 2) for x in xs]


def as_listed(order):
    """The tightening order by the bolts' places in the list, counted from 1."""
    return " ".join(str(order.labels.index(label) + 1) for label in order.tighten)


def distances(order):
    middle = [sum(point[axis] for point in order.at) / len(order.at) for axis in (0, 1)]
    where = dict(zip(order.labels, order.at, strict=True))
    return [math.dist(where[label], middle) for label in order.tighten]


# Cylinder heads: centre outwards in a spiral, loosened from the ends inwards (common practice).
HEADS = st.builds(head, st.integers(2, 9), st.floats(40, 120), st.floats(60, 140))


@given(HEADS)
def test_a_head_is_tightened_from_its_middle_pair_outwards_ring_by_ring(at):
    order = bolt_order(len(at), at=at, pattern="spiral")
    found = distances(order)
    slack = RING_TOLERANCE * max(found)
    # Centre pair first: nothing sits nearer the middle than the first two, which sit opposite each other.
    assert max(found[:2]) <= min(found) + slack
    first, second = (order.at[order.labels.index(label)] for label in order.tighten[:2])
    assert first[0] + second[0] == pytest.approx(0, abs=1e-6)
    assert first[1] + second[1] == pytest.approx(0, abs=1e-6)
    # No ring before the last one is done.
    for place, distance in enumerate(found):
        assert distance >= max(found[: place + 1]) - slack


@given(
    st.lists(st.tuples(st.integers(-200, 200), st.integers(-200, 200)), min_size=3, max_size=24, unique=True)
)
def test_any_cover_is_tightened_from_the_middle_outwards(at):
    order = bolt_order(len(at), at=at, pattern="spiral")
    found = distances(order)
    for place, distance in enumerate(found):
        assert distance >= max(found[: place + 1]) - RING_TOLERANCE * max(found) - 1e-9


@given(HEADS)
def test_six_or_more_are_loosened_from_the_outside_in(at):
    order = bolt_order(len(at), at=at)
    if len(at) < 6:
        assert order.loosen == ()
    else:
        assert order.loosen == order.tighten[::-1]


@pytest.mark.parametrize("count", [5, 10])
def test_a_head_or_cover_without_places_has_words_and_no_numbers(count):
    order = bolt_order(count, pattern="spiral")
    assert (order.at, order.tighten, order.loosen) == ((), (), ())
    assert order.loosened_in_order is (count >= 6)
    for mark, words in ((order.mark, "from the middle"), (order.loosening_mark, "from the outside")):
        assert mark.startswith(words)
        assert mark.endswith("(common practice); the maker's own order goes before it")


def test_a_makers_order_without_places_is_kept_and_no_place_is_made_up():
    order = bolt_order(6, order=list("cdbeaf"))
    assert order.tighten == tuple("cdbeaf")
    assert order.at == ()


def test_the_makers_order_is_kept_as_it_is():
    order = bolt_order(4, order=["A", "D", "B", "C"], at=[(0, 0), (1, 0), (1, 1), (0, 1)])
    assert order.tighten == ("A", "D", "B", "C")
    assert order.labels == ("A", "B", "C", "D")
    assert not order.generated
    assert order.mark == "order as the file gives it"


def test_a_bolt_whose_place_is_known_has_its_place_in_the_order_for_a_number():
    square = [(0, 0), (1, 0), (1, 1), (0, 1)]
    order = bolt_order(4, order=["1", "3", "2", "4"], at=square)
    assert (order.labels, order.tighten) == (("1", "3", "2", "4"), ("1", "2", "3", "4"))
    assert bolt_order(10, at=head(5, 90, 80)).tighten == tuple(str(n) for n in range(1, 11))


def test_numbered_labels_are_listed_by_number():
    assert bolt_order(11, order=[str(number) for number in range(11, 0, -1)]).labels[-1] == "11"


def test_bolts_on_a_circle_are_told_from_their_positions():
    circle = [(40 * math.sin(turn * math.pi / 4), 40 * math.cos(turn * math.pi / 4)) for turn in range(8)]
    order = bolt_order(8, at=circle)
    assert order.pattern == "cross"
    assert as_listed(order) == PCC_1[8]
    assert not order.assumed_layout


@pytest.mark.parametrize(
    ("count", "order"), [(2, "1 2"), (4, "2 3 1 4"), (5, "3 2 4 1 5"), (6, "3 4 2 5 1 6")]
)
def test_a_row_is_tightened_from_its_middle_out_to_both_ends(count, order):
    # Common practice: end to end would press the gasket along before it.
    assert " ".join(bolt_order(count, pattern="line").tighten) == order
    slanted = [(0.1 * index, 0.3 * index) for index in range(count)]
    assert as_listed(bolt_order(count, pattern="line", at=slanted)) == order


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ({"count": 0}, "at least one bolt"),
        ({"count": 4, "at": [(0, 0)]}, "'at' has 1 places for 4 bolts"),
        ({"count": 1, "at": [(0, 0, 0)]}, "not a pair"),
        ({"count": 3, "order": ["1", "2", "2"]}, "the order names 2 twice; name each bolt once"),
        ({"count": 3, "order": ["1", "2"]}, "the order has 2 bolts, and the joint 3"),
        (
            {"count": 3, "pattern": "star"},
            "'star' is no pattern that I know; write one of spiral, cross, line",
        ),
    ],
)
def test_an_order_that_does_not_go_with_the_joint_is_refused(arguments, says):
    with pytest.raises(FastenerError) as caught:
        bolt_order(**arguments)
    assert says in str(caught.value)


def test_a_loosening_order_is_marked_generated_whoever_gave_the_tightening_order():
    given = bolt_order(6, order=list("abcdef"))
    assert given.mark == "order as the file gives it"
    assert (
        given.loosening_mark
        == "generated: the tightening order backwards; the maker's own order goes before it"
    )
    guessed = bolt_order(6, pattern="cross")
    assert "counted clockwise from the top" in guessed.loosening_mark
    assert not guessed.numbered
