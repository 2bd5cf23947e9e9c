"""What is fitted new: of parts that came off or were moved aside, not of those that were only loosened."""

import pytest

from sequencer.plan.supplies import renewals
from tests.plan.jobs import there_and_back

MACHINE = """
machine: Renewals
positions: {bench: {label: At the bench}}
parts:
  cover:
    renew: [{item: Gasket, count: 1, price: 4.50}, {item: Bolt, count: 6}]
    loose: {joints: [j]}
    aside: {joints: [j]}
    joints: {j: {kind: bolt, head: 10, time: 10}}
  other: {renew: [{item: Seal}], joints: {j: {kind: bolt, head: 10, time: 10}}}
"""


@pytest.mark.parametrize(
    ("target", "items"),
    [
        ("cover", ["Gasket", "Bolt"]),
        ("cover=aside", ["Gasket", "Bolt"]),
        ("cover=loose", []),
        ("other", ["Seal"]),
    ],
)
def test_renewals_are_those_of_the_parts_that_came_away(target, items):
    for plan in there_and_back(MACHINE, [("off", target)]):
        assert [renewal.item for _, renewal in renewals(plan)] == items


def test_each_is_named_once_with_its_part_count_and_price():
    _, way_back = there_and_back(MACHINE, [("off", "cover")])
    ((part, gasket), (_, bolt)) = renewals(way_back)
    assert (part, gasket.count, float(gasket.price)) == ("cover", 1, 4.5)
    assert (bolt.count, bolt.price) == (6, None)
