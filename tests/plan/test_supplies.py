"""What is fitted new: of parts whose faces were parted, not of those that were only loosened."""

from datetime import date

import pytest

from sequencer.document.lists.parts import supplies
from sequencer.document.plans.both_ways import PaperJob
from sequencer.document.steps.cards import refit_cards
from sequencer.plan.closing.supplies import renewals, renewed
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
  pipe: {renew: [{item: Washer, count: 2}], joints: {banjo: {kind: banjo, head: 17}}}
  tank: {trapped_by: [pipe/banjo, hose/near], joints: {j: {kind: bolt, head: 10, time: 10}}}
  hose:
    renew: [{item: Hose clip}]
    joints: {near: {kind: hose}, far: {kind: hose}}
  other: {renew: [{item: Seal}], joints: {j: {kind: bolt, head: 10, time: 10}}}
"""


@pytest.mark.parametrize(
    ("target", "items"),
    [
        ("cover", ["Gasket", "Bolt"]),
        ("cover=aside", ["Gasket", "Bolt"]),
        ("cover=loose", []),
        ("other", ["Seal"]),
        ("tank", ["Washer"]),  # the pipe is undone and stays; of the hose one end stays done up
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


def test_what_is_only_undone_is_fitted_new_as_it_is_done_up():
    way_in, way_back = there_and_back(MACHINE, [("off", "tank")])
    found = [one.operation.name for plan in (way_in, way_back) for one in renewed(plan)]
    assert found == ["undo pipe/banjo", "fasten pipe/banjo"]
    steps = [step for station in refit_cards(way_back) for step in station.steps]
    (card,) = (one for one in steps if "new: 2 × Washer" in one.lines)
    assert card.operation == "fasten pipe/banjo"
    (washers,) = supplies(PaperJob(way_in, way_back, on=date(2026, 11, 29)))
    assert (washers.item, washers.step) == ("Washer", card.number)
