"""What comes before other tasks, and before anybody works at a position: there and back."""

import pytest

from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.plan.jobs import names, there_and_back
from tests.support.checker import check_plan
from tests.support.readied import STANDS, TIPPED
from tests.support.refit_checker import check_refit

MOUNT = [("off", "mount")]


def before(order, *chain):
    places = [order.index(name) for name in chain]
    return places == sorted(places)


def both(text, targets=MOUNT):
    way_in, home = there_and_back(text, targets)
    told = teardown_json(way_in)
    assert check_plan(text, targets, told) == []
    assert check_refit(text, targets, told, refit_json(home)) == []
    return names(way_in), names(home)


def test_a_position_is_ready_before_anybody_works_there_and_stays_so_until_the_last_work():
    way_in, home = both(STANDS)
    assert before(way_in, "task chock", "task raise", "task prop")
    assert before(way_in, "drain rinse", "task prop", "undo mount/bolts")
    assert before(home, "torque mount/bolts", "restore raise", "restore chock")
    assert before(home, "torque mount/bolts", "fill rinse")


def test_a_job_that_works_elsewhere_gets_nothing_ready():
    way_in, home = both(STANDS, [("off", "cover")])
    assert way_in == ["undo cover/bolts", "remove cover"]
    assert home == ["fit cover", "fasten cover/bolts", "torque cover/bolts"]


def test_passing_through_a_position_is_not_working_there():
    """From the front to the back the quickest way is underneath."""
    text = STANDS.replace("  under: {enter: 40 s, leave: 30 s,", "  back: {}\n  under: {") + (
        "  lid: {from: back, behind: [cover], joints: {clip: {kind: clip, tool: hand, time: 5 s}}}\n"
        "walks: [[front, back, 90 s], [front, under, 10 s], [under, back, 10 s]]\n"
    )
    way_in, _ = both(text, [("off", "lid")])
    assert way_in == ["undo cover/bolts", "remove cover", "undo lid/clip", "remove lid"]


def test_what_a_task_with_nothing_to_undo_is_after_holds_until_what_waits_for_it_is_back():
    _, home = both(STANDS.replace("time: 12 min, undo: {time: 3 min}", "time: 12 min"))
    assert "restore raise" not in home
    assert before(home, "torque mount/bolts", "restore chock")


@pytest.mark.parametrize("place", ["drain: {from: front", "fill: {from: front"])
def test_where_its_answer_is_done_from_is_ready_too(place):
    """The rinse of another set is drained at the front and filled underneath, or the other way round."""
    text = STANDS.replace(", drained: [rinse]", "").replace(place, place.replace("front", "under"))
    text += "  sump: {wet: [rinse], joints: {plug: {kind: plug, head: 13, time: 9 s}}}\n"
    way_in, home = both(text, [("off", "sump")])
    assert before(way_in, "task chock", "task raise", "drain rinse")
    assert before(home, "fill rinse", "restore raise", "restore chock") or "drain" in place


def test_a_task_undone_at_a_position_has_it_ready():
    text = STANDS.replace("undo: {from: front}", "undo: {from: under}").replace(
        "prop: {from: under", "prop: {from: front"
    )
    text = text.replace("    from: under\n", "")
    way_in, home = both(text)
    assert before(way_in, "task chock", "task raise", "task prop")
    assert before(home, "restore prop", "restore raise", "restore chock")


@pytest.mark.parametrize("rides", [True, False])
def test_what_goes_together_from_a_position_has_it_ready_on_the_way_in(rides):
    """The pin goes in from underneath; one fluid is waste, one is filled at the rear."""
    text = TIPPED if rides else TIPPED[: TIPPED.index("  arm:")]
    way_in, home = both(text)
    assert before(way_in, "task chock", "task raise", "undo mount/pin")
    assert before(way_in, "task turn", "drain oil", "undo mount/pin")
    assert "drain rinse" in way_in
    assert "fill rinse" not in home
    assert before(home, "torque mount/pin", "restore raise", "restore chock")
    assert before(home, "close oil", "fill oil", "leak-check oil", "restore turn")
    assert before(home, "torque mount/pin", "fill oil")
    assert "close rinse" in home
    assert ("torque arm/bolts" in home) is rides


def test_a_waste_tank_is_closed_from_where_it_was_drained():
    """What the rear asks for is asked for by the closing of a drain there, too."""
    text = TIPPED.replace(
        "rinse: {volume: 1.5 L, drain: {from: front", "rinse: {volume: 1.5 L, drain: {from: rear"
    )
    way_in, home = both(text)
    assert before(way_in, "task turn", "drain rinse")
    assert before(home, "close rinse", "restore turn")
