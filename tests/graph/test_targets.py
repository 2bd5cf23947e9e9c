"""What a job is for, as a person asks for it."""

import pytest

from sequencer.errors import SequencerError
from sequencer.graph import derive, goals, parse_targets
from sequencer.machine import read_text
from tests.support.page_example import PAGE


@pytest.fixture(scope="module")
def machine():
    return read_text(PAGE, "page.yaml").machine


def asked(machine, off=(), reach=()):
    return [set(clause.any_of) for clause in goals(derive(machine), parse_targets(machine, off, reach))]


@pytest.mark.parametrize(
    ("off", "reach", "clauses"),
    [
        (["pulley"], [], [{"remove pulley"}]),
        (["pulley=off"], [], [{"remove pulley"}]),
        (["motor=loose"], [], [{"loosen motor", "remove motor"}]),
        (["motor=aside"], [], [{"remove motor"}]),  # it has no aside: the next later state
        (["guard=loose"], [], [{"remove guard"}]),
        ([], ["mount"], [{"remove bracket", "remove motor"}]),
        ([], ["guard"], []),
        ([], ["bracket/far"], [{"loosen motor", "remove motor"}]),
        ([], ["pulley/bolts"], [{"remove guard"}]),
        (["belt", "belt"], ["pulley"], [{"remove belt"}, {"remove guard"}]),
    ],
)
def test_targets_become_what_has_to_be_done(machine, off, reach, clauses):
    assert asked(machine, off, reach) == clauses


@pytest.mark.parametrize(
    ("off", "reach", "problem", "remedy"),
    [
        ([], [], "nothing to take off was named", "add --off PART"),
        (["pully"], [], "no part 'pully'", "did you mean pulley?"),
        ([], ["bellt"], "no part 'bellt'", "did you mean belt?"),
        (["xyz"], [], "no part 'xyz'", "its parts are guard, belt"),
        (["motor=half"], [], "there is no state 'half'", "loose, aside, off"),
        (["motor=fitted"], [], "there is no state 'fitted'", "loose, aside, off"),
        (["motor/plug"], [], "motor/plug is a joint", "name the part that it holds: motor"),
        ([], ["motor/plog"], "no joint 'plog'", "did you mean plug?"),
    ],
)
def test_a_target_that_makes_no_sense_is_answered_with_what_would(machine, off, reach, problem, remedy):
    with pytest.raises(SequencerError) as caught:
        parse_targets(machine, off, reach)
    assert problem in caught.value.problem
    assert remedy in caught.value.remedy


def test_targets_print_as_they_were_meant(machine):
    targets = parse_targets(machine, ["belt", "motor=loose"], ["mount", "bracket/far"])
    assert [str(t) for t in targets] == ["belt off", "motor loose", "reach mount", "reach bracket/far"]
