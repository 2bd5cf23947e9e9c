"""Answers to questions about a kept order: into the file with their source, into the plan, and back."""

from datetime import date

import pytest

from sequencer.errors import SequencerError
from sequencer.graph.targets import parse_targets
from sequencer.job.changes.asking import open_questions, reply
from sequencer.job.changes.begin import begin, copied
from sequencer.job.desk import Desk
from sequencer.machine.reading import load
from sequencer.plan.asking import About
from sequencer.plan.practice.rules import Practice
from sequencer.plan.teardown import plan_teardown
from tests.job.conftest import ANN
from tests.plan.test_asking import ORDER, PRESS
from tests.support.profile import before_landing, counts

ON = date(2026, 11, 29)
SOURCE = "answered on this job, 2026-11-29"


@pytest.fixture
def desk(tmp_path):
    path = tmp_path / "press.yaml"
    path.write_text(f"{PRESS}taken_apart:\n  order: [{', '.join(ORDER)}]\n", "utf-8")
    machine = load(path)
    plan = plan_teardown(machine, parse_targets(machine, ["pump"]), practice=Practice.ALL)
    with Desk(begin(tmp_path / "job", plan, copied(path), ANN, title="Press"), ANN) as opened:
        yield opened


def answered(desk, *answers):
    return desk.write(reply(answers, desk.file, ON))


def free(desk):
    taken = desk.machine.taken_apart
    return [
        ([str(t) for t in one.first], one.then and [str(t) for t in one.then], one.source)
        for one in taken.free
    ]


@before_landing
def test_no_frees_a_group_and_the_plan_follows_and_undo_takes_all_of_it_back(desk):
    before, text = [op.name for op in desk.plan().operations], desk.folder.machine.read_bytes()
    said = answered(desk, (1, "no"))
    front, under = ORDER[::2], ORDER[1::2]
    assert free(desk) == [(front, under, SOURCE)]
    assert "remove bracket" not in [op.name for op in desk.plan().operations]
    assert said.words[0] == "what was done from front and under: the order does not matter"
    assert open_questions(desk.moment()) == []
    desk.undo()
    assert desk.folder.machine.read_bytes() == text
    assert [op.name for op in desk.plan().operations] == before
    assert len(open_questions(desk.moment())) == 1


UNKNOWN = ("don't know", "yes", "Don\u2019t know.", "?")


@before_landing
@pytest.mark.parametrize("answer", counts(quick=UNKNOWN[:2], landing=UNKNOWN, nightly=UNKNOWN))
def test_what_is_not_known_changes_nothing_and_is_not_asked_again(desk, answer):
    text = desk.folder.machine.read_bytes()
    answered(desk, (1, answer))
    assert desk.folder.machine.read_bytes() == text
    assert {one.about for one in open_questions(desk.moment())} == {About.REASON}
    desk.undo()
    assert {one.about for one in open_questions(desk.moment())} == {About.PLACES}


def test_those_that_are_named_stay_where_they_were_and_the_rest_is_free(desk):
    answered(desk, (1, "only the strap and guard"))
    assert (["strap"], ["cooler"], SOURCE) in free(desk)
    assert (["cooler", "shroud", "pump"], ["tray", "bracket"], SOURCE) in free(desk)


@before_landing
def test_what_a_thing_was_in_the_way_of_becomes_a_relation(desk):
    answered(desk, (1, "?"))
    asked = open_questions(desk.moment())
    number = next(n for n, one in enumerate(asked, 1) if [str(t) for t in one.first] == ["shroud"])
    answered(desk, (number, "pump"))
    assert [str(need) for need in desk.machine.parts["pump"].under("behind")] == ["shroud"]
    assert free(desk) == [(["shroud"], None, SOURCE)]


@before_landing
def test_several_questions_are_answered_at_once(desk):
    answered(desk, (1, "?"))
    first = [[str(t) for t in one.first] for one in open_questions(desk.moment())]
    answered(desk, (1, "no"), (2, "no"))
    assert free(desk) == [(first[0], None, SOURCE), (first[1], None, SOURCE)]


@before_landing
@pytest.mark.parametrize(
    ("number", "text", "problem"),
    [
        (1, "the flywheel", "'the flywheel' is nothing that this question is about"),
        (1, "guard, 7", "'7' is nothing that this question is about"),
        (0, "no", "there is no question 0"),
        (7, "no", "there is no question 7"),
    ],
)
def test_what_is_no_answer_is_asked_back_and_nothing_is_written(desk, number, text, problem):
    with pytest.raises(SequencerError, match=problem):
        answered(desk, (number, text))
    assert len(open_questions(desk.moment())) == 1


def test_on_the_way_back_an_answer_changes_the_rest_of_the_order(desk):
    desk.done([op.name for op in desk.plan().operations])
    turned = desk.turn()
    assert turned.words[1].startswith(
        "0 of 21 orders between parts are known; the rest goes back as it came off"
    )
    before = desk.plan().totals.seconds
    said = answered(desk, (1, "no"))
    assert before - desk.plan().totals.seconds > 120
    assert said.words[-1] == "what is left comes in another order now"


def test_what_is_put_back_too_soon_is_refused_with_one_reason_for_all_that_waits(desk):
    desk.done([op.name for op in desk.plan().operations])
    desk.turn()
    with pytest.raises(SequencerError) as caught:
        desk.done("fit shroud")
    assert str(caught.value).count("shroud came off first, and nobody said why") == 1
