"""A job with a jack: put away when its load is off, and set up again for the way back, as in the plan."""

import random
from datetime import date

import pytest

from sequencer.errors import SequencerError
from sequencer.job.changes.finds import Find
from sequencer.plan.order.replay import replay
from sequencer.plan.plan import Totals
from sequencer.plan.practice.rules import Practice
from tests.job.through import begun, through, tick
from tests.plan.jobs import by_hand_where_nothing_is_said, names, there_and_back
from tests.plan.practice.chance import add_jacks, changed
from tests.plan.test_carries import GEARBOX
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine

OFF = ["gearbox", "mount", "guard", "pan"]
DAY = date(2026, 11, 25)


def left(desk):
    return [op for _, op in desk.state().left]


def do_up_to(desk, op):
    """Tick all steps up to ``op``, gates with what they ask for."""
    while op in left(desk):
        tick(desk)


def seconds(graph, order, changes):
    return Totals.of(replay(graph, order, changes)).seconds


@before_landing
@pytest.mark.parametrize("practice", list(Practice))
def test_a_jack_is_put_away_when_its_load_is_off_and_when_it_is_held_again(tmp_path, practice):
    way_in, home = through(tmp_path, GEARBOX, OFF, practice)
    assert way_in.index("remove gearbox") < way_in.index("restore prop")
    assert home.index("task prop") < home.index("fit gearbox")
    assert home.index("fasten gearbox/bolts") < home.index("restore prop")


@before_landing
def test_a_job_has_the_steps_of_its_plan_both_ways(tmp_path):
    asked = away = 0
    for seed in counts(quick=range(4, 7), landing=range(14), nightly=range(600)):
        practice = list(Practice)[seed % 2]
        text, targets = random_machine(seed, 3, torques=True)
        text = changed(by_hand_where_nothing_is_said(text), lambda m, s=seed: add_jacks(random.Random(s), m))
        if any(verb != "off" for verb, _ in targets):
            continue
        try:
            plans = there_and_back(text, targets, practice=practice)
        except SequencerError:
            continue
        folder = tmp_path / str(seed)
        folder.mkdir()
        ways = through(folder, text, [what for _, what in targets], practice)
        assert [sorted(way) for way in ways] == [sorted(names(plan)) for plan in plans], seed
        assert ways[0] == names(plans[0]), seed
        (again := folder / "again").mkdir()
        with begun(again, text, [what for _, what in targets], practice) as desk:
            desk.done(ways[0])
            desk.turn()
            at = desk.moment()
        changes = at.present.changes(at.machine, at.home.back.drives)
        job, plan = (seconds(at.home.back.graph, way, changes) for way in (ways[1], names(plans[1])))
        assert job <= plan, seed  # another order only where that is as quick from where the person stands
        asked += 1
        away += any(name.startswith("restore ") for name in ways[0])
    assert asked >= counts(quick=1, landing=6, nightly=6)
    assert away >= counts(quick=1, landing=2, nightly=2)


@before_landing
def test_what_was_taken_off_comes_on_again_with_the_jack_back_in_place(tmp_path):
    """Turned, and turned again with the load half on: the jack is there, and is put away once more."""
    with begun(tmp_path, GEARBOX, OFF) as desk:
        desk.done(left(desk))
        desk.turn()
        do_up_to(desk, "fasten gearbox/bolts")
        desk.turn(apart=True)
        assert "task prop" not in left(desk)
        order = left(desk)
        assert order.index("remove gearbox") < order.index("restore prop")
        desk.done(order)
        desk.turn()
        assert {"task prop", "restore prop"} <= set(left(desk))


@before_landing
def test_after_a_turn_the_person_stands_where_the_last_step_was_whichever_way_it_belongs_to(tmp_path):
    with begun(tmp_path, GEARBOX, ["gearbox"]) as desk:
        desk.done(left(desk))
        desk.turn()
        assert (desk.moment().present.position, desk.moment().present.tool) == ("side", "jack")
        do_up_to(desk, "restore prop")
        at = desk.moment().present
        desk.turn(apart=True)
        assert (desk.moment().present.position, desk.moment().present.tool) == (at.position, at.tool)
        desk.undo()
        assert desk.moment().present == at


@before_landing
def test_a_jack_that_is_away_again_is_set_up_anew_when_the_job_turns_once_more(tmp_path):
    with begun(tmp_path, GEARBOX, OFF) as desk:
        desk.done(left(desk))
        desk.turn()
        do_up_to(desk, "restore prop")
        desk.turn(apart=True)
        order = left(desk)
        assert order.index("task prop") < order.index("undo gearbox/bolts")
        assert order.index("remove gearbox") < order.index("restore prop")


def test_a_load_that_was_off_already_leaves_the_jack_to_be_put_away(tmp_path):
    with begun(tmp_path, GEARBOX, OFF) as desk:
        do_up_to(desk, "task prop")
        desk.skip(["remove gearbox"], "came down with the rest")
        assert "restore prop" in left(desk)
        assert desk.moment().workable


def test_a_jack_that_was_never_set_up_is_not_put_away(tmp_path):
    with begun(tmp_path, GEARBOX, OFF) as desk:
        desk.skip(["task prop"], "it rests on blocks")
        assert "restore prop" not in left(desk)
        desk.done(left(desk))
        desk.turn()
        assert not {"task prop", "restore prop"} & set(left(desk))


def test_a_jack_that_was_left_standing_is_put_away_on_the_way_back(tmp_path):
    with begun(tmp_path, GEARBOX, OFF) as desk:
        desk.skip(["restore prop"], "it stays under the gearbox, on its trolley")
        desk.done(left(desk))
        desk.turn()
        assert "task prop" not in left(desk)
        assert "restore prop" in left(desk)


def test_putting_it_away_rests_on_the_load_that_is_off(tmp_path):
    with begun(tmp_path, GEARBOX, OFF) as desk:
        do_up_to(desk, "restore prop")
        number = desk.state().number
        with pytest.raises(SequencerError, match=rf"\b{number('restore prop')}\b.* rest on it"):
            desk.undo(number("remove gearbox"))


def test_what_is_found_on_a_load_comes_before_the_jack_goes(tmp_path):
    with begun(tmp_path, GEARBOX, OFF, Practice.ALL) as desk:
        do_up_to(desk, "undo gearbox/bolts")
        desk.found(Find("stay", {"blocks": ("gearbox",)}, held=("bolt 10 x2",)), DAY)
        order = left(desk)
        assert order.index("remove stay") < order.index("remove gearbox") < order.index("restore prop")
        assert desk.moment().as_practised


def test_what_needs_a_jack_that_is_away_says_so_and_goes_on_once_it_is_there_again(tmp_path):
    text = GEARBOX.replace("under: {below: true}", "under: {needs: [prop]}")
    with begun(tmp_path, text, ["gearbox"]) as desk:
        desk.done(left(desk))
        with pytest.raises(
            SequencerError, match=r"restore prop is done already.*take back the tick of restore prop"
        ):
            desk.also(["guard"])
        desk.undo(desk.state().number("restore prop"))
        desk.also(["guard"])
        assert left(desk)[-1] == "restore prop"
