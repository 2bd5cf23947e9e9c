"""What to have beside the tools is known from what is done and from what can hurt."""

from sequencer.document.steps.outfit import outfit, wrench_range
from sequencer.plan.hazards.hazards import hazards
from tests.plan.jobs import there_and_back

CART = """
machine: Cart (invented)
tools: {key: {label: 8 mm square key}}
positions: {side: {label: Beside it}, below: {label: On the creeper underneath}}
fluids: {oil: {label: Gear oil, volume: 2 L, drain: {from: below, plug: {tool: key, torque: 30 N.m}}}}
parts:
  pipe:
    joints: {union: {kind: union, head: 17, count: 2}, clip: {kind: clip}}
    aside: {joints: [union]}
    tie: with a cord to the rail
  lid:
    behind: [{pipe: aside}]
    wet: [oil]
    renew: [Lid gasket]
    sealant: {kind: rtv, cure: 1 h}
    joints: {bolts: {kind: bolt, head: 10, count: 4, torque: {stages: [8 N.m, 20 N.m, 90 deg]}}}
"""


def have(text, part="lid"):
    into, back = there_and_back(text, [("off", part)])
    return outfit([into]), outfit([back]), back


def test_each_thing_is_known_from_what_asks_for_it():
    into, back, refit = have(CART)
    for thing in (
        "rated stands",
        "wheel chocks",
        "gloves",
        "pan for Gear oil (2 L or more)",
        "plugs or caps for 2 open ends",
        "ties for 1 part moved aside",
    ):
        assert thing in into
    assert "2 bags" in into
    for thing in ("angle gauge", "RTV silicone", "scraper and solvent for the faces"):
        assert thing in back
        assert thing not in into
    assert wrench_range(refit) == "8 to 30 N.m"
    assert wrench_range(refit, "lbf.ft") == "5.9 to 22 lbf.ft"


def test_what_nothing_asks_for_is_not_fetched():
    bare = "machine: Box\nparts: {lid: {joints: {b: {kind: screw, head: PH2}}}}\n"
    into, back, refit = have(bare)
    assert (into, back, wrench_range(refit)) == (("1 bag",), (), "")


def test_a_file_that_warns_itself_still_asks_for_the_things():
    place = "On the creeper underneath"
    own = CART.replace(f"{place}}}", f"{place}, caution: Rated stands only.}}")
    assert "rated stands" in have(own)[0]


def test_both_ways_name_a_thing_once():
    into, back, _ = have(CART)
    plans = there_and_back(CART, [("off", "lid")])
    assert sorted(outfit(plans)) == sorted({*into, *back})


def test_every_thing_of_the_table_is_in_plain_words():
    things = {thing for hazard in hazards() for thing in hazard.have}
    assert things
    assert all(thing == thing.strip() and "," not in thing for thing in things)
