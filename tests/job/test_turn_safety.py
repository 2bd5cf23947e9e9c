"""Turning round makes no machine safe or unsafe to leave: nothing on it has moved."""

import random

import pytest

from sequencer.document.evenings.sittings import leaving_words
from sequencer.errors import SequencerError
from sequencer.job.reports.status import leaving, status
from sequencer.plan.hazards.stops import Left, Verdict
from sequencer.render.data.jobs.job import status_json
from tests.job.through import begun, tick
from tests.plan.practice.chance import add_jacks, add_supports, changed
from tests.plan.test_carries import GEARBOX
from tests.plan.test_held import ABOUT_LOADS
from tests.support.plain_held import after_each
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine


def unsafe(desk):
    return {(one.left, one.subject) for one in leaving(desk.moment(), "Ann").loose if one.unsafe}


@before_landing
@pytest.mark.parametrize("last", [5, 9, 13, 15])
def test_what_is_unsafe_to_leave_is_so_after_the_turn(desk, last):
    desk.done(f"1-{last}")
    before = unsafe(desk)
    desk.turn()
    assert unsafe(desk) == before


def test_what_was_skipped_is_judged_the_same_after_the_turn(desk):
    desk.done("1")
    desk.skip("2", "were missing")
    before = unsafe(desk)
    desk.turn()
    assert unsafe(desk) == before


ROTOR = """
machine: Rotor, invented
parts:
  rotor: {weight: 12 kg, joints: {bolts: {kind: bolt, head: 13}, plug: {kind: connector}}}
"""


def test_a_part_that_was_fitted_and_is_not_fastened_is_not_left_so(tmp_path):
    with begun(tmp_path, ROTOR, ["rotor"]) as desk:
        while desk.plan().steps:
            tick(desk)
        desk.turn()
        desk.done(["fit rotor"])
        told = leaving(desk.moment(), "Ann")
        assert [(one.left, one.subject) for one in told.loose] == [(Left.HALF_OUT, "rotor")]
        assert told.verdict is Verdict.UNSAFE
        assert told.better is not None


@before_landing
def test_a_jack_is_named_while_it_has_its_load_and_no_longer(tmp_path):
    """At every step of a job, both ways: between its first joint and the load off, and from there back."""
    with begun(tmp_path, GEARBOX, ["gearbox", "mount"]) as desk:
        for _ in ("in", "back"):
            while desk.plan().steps:
                tick(desk)
                done = {*desk.state().ticks}
                moment = desk.moment()
                off = {"remove gearbox", "fit gearbox"} & done == {"remove gearbox"} or (
                    desk.state().turned and "fit gearbox" not in done
                )
                loose = {"undo gearbox/bolts", "undo gearbox/dowels", "undo mount/stud"} & done
                held = {"fasten gearbox/bolts", "fasten gearbox/dowels", "fasten mount/stud"} <= done
                there = not off and bool(loose or desk.state().turned) and not held
                named = any(one.left is Left.HELD_UP for one in leaving(moment, "Ann").loose)
                assert named is there, sorted(done)
            if not desk.state().turned:
                desk.turn()


def test_a_task_that_was_skipped_holds_nothing(tmp_path):
    with begun(tmp_path, GEARBOX, ["gearbox"]) as desk:
        desk.skip(["task prop"], "it rests on blocks")
        while "undo gearbox/bolts" in [op for _, op in desk.state().left]:
            tick(desk)
        found = {(one.left, one.subject) for one in leaving(desk.moment(), "Ann").loose if one.unsafe}
        assert found == {(Left.HALF_OUT, "gearbox")}


def test_a_task_that_was_skipped_on_the_way_back_is_not_there(tmp_path):
    with begun(tmp_path, GEARBOX, ["gearbox"]) as desk:
        while desk.plan().steps:
            tick(desk)
        desk.turn()
        desk.skip(["task prop"], "two of us hold it")
        desk.done(["fit gearbox"])
        assert unsafe(desk) == {(Left.HALF_OUT, "gearbox")}


def test_the_data_say_what_the_words_say(tmp_path):
    with begun(tmp_path, ROTOR, ["rotor"]) as desk:
        told = []
        for op in ("undo rotor/plug", "undo rotor/bolts"):
            desk.done([op])
            here = status(desk.moment())
            data = status_json(here)
            told.append((data["safe_to_leave"], data["leaving"], leaving_words(here.leaving)))
        assert told == [
            (True, "safe", "Safe to leave here."),
            (
                False,
                "not safe",
                "Not a safe place to leave the machine. Better after step 3, about 20 s from here.",
            ),
        ]


@before_landing
def test_a_job_knows_at_each_step_what_the_page_says(tmp_path):
    """By a second reading of the page, through whole jobs on random machines, both ways."""
    asked = 0
    for seed in counts(quick=range(1), landing=range(4), nightly=range(400)):
        text, targets = random_machine(seed, 3, torques=True)
        rng, plain = random.Random(f"job {seed}"), {}

        def change(machine, rng=rng, plain=plain):
            add_jacks(rng, machine)
            add_supports(rng, machine)
            plain |= machine

        text = changed(text, change)
        folder = tmp_path / str(seed)
        folder.mkdir()
        try:
            desk = begun(folder, text, [what for verb, what in targets if verb == "off"])
        except SequencerError:
            continue
        with desk:
            for back in (False, True):
                if back:
                    there = desk.state().done
                    desk.turn()
                steps = [step.operation.name for step in desk.plan().steps]
                wanted = after_each(plain, there, steps) if back else after_each(plain, steps)
                for expected in wanted:
                    moment = desk.moment()
                    found = {one.subject for one in leaving(moment, "Ann").loose if one.left in ABOUT_LOADS}
                    assert found == {name for name, (_, answer) in expected.items() if answer != "safe"}, seed
                    asked += 1
                    if moment.plan.steps:
                        tick(desk)
    assert asked > counts(quick=5, landing=20, nightly=40)
