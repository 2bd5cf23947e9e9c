import pytest

from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.fasteners.friction import friction_of
from sequencer.torque.torque_tables import table


@pytest.mark.parametrize(
    ("condition", "k"),
    # Shigley's Mechanical Engineering Design, table 8-15 (p. 439 of the copy at
    # digilib.universitaspertamina.ac.id); dry 0.20 from mobiletechengineering.com's worked example.
    [
        ("black", 0.30),
        ("zinc", 0.20),
        ("lubricated", 0.18),
        ("cadmium", 0.16),
        ("anti-seize", 0.12),
        ("dry", 0.20),
    ],
)
def test_the_usual_nut_factor_is_the_published_one(condition, k):
    assert friction_of(condition).k == k


@pytest.mark.parametrize("condition", ["dry", "oiled", "moly", "plated", "Oil", "zinc plated", "MoS2"])
def test_conditions_are_read_in_the_words_of_the_trade(condition):
    assert friction_of(condition).told


@pytest.mark.parametrize("name", list(table("friction")))
def test_every_condition_has_its_usual_value_inside_its_range_and_a_source(name):
    data = table("friction")[name]
    assert data["low"] < data["k"] < data["high"]
    assert data["source"]


def test_where_nothing_is_said_the_range_holds_every_usual_value_of_the_table():
    unknown = friction_of(None)
    assert not unknown.told
    for data in table("friction").values():
        assert unknown.low <= data["k"] <= unknown.high


def test_a_number_is_the_nut_factor_itself():
    friction = friction_of("0.15")
    assert (friction.low, friction.k, friction.high) == pytest.approx((0.105, 0.15, 0.195))


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ("oild", "'oild' is no friction that I know; did you mean oiled? write one of dry,"),
        ("1.5", "K lies from 0.05 to 0.5"),
        ("nan", "K lies from 0.05 to 0.5"),
    ],
)
def test_an_unknown_condition_is_refused_with_the_known_ones(written, says):
    with pytest.raises(FastenerError) as caught:
        friction_of(written)
    assert says in str(caught.value)
