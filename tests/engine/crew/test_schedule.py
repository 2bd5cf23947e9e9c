"""Several people: every timetable keeps the rules, small ones are the shortest, and bounds are bounds."""

from itertools import islice

import pytest

from sequencer.engine import Limits, Problem, ProblemError, Status, solve
from sequencer.engine.crew import CrewLimits, CrewProblem, Resource, Turn, schedule
from sequencer.engine.crew.arborescence import arborescence
from sequencer.engine.crew.crew_bounds import lower_bound
from sequencer.engine.crew.dispatch import list_schedules
from sequencer.engine.crew.floor import Floor
from sequencer.engine.crew.paths import Paths
from tests.engine.crew.problems import random_problem
from tests.engine.crew.reference import faults, shortest
from tests.support.profile import before_landing, counts

SOME_WORK = CrewLimits(work=0.2)


@before_landing
@pytest.mark.parametrize("seed", range(counts(quick=4, landing=8, nightly=40)))
def test_a_small_timetable_is_the_shortest_and_proven(seed):
    problem = random_problem(seed, 4, least=1)
    result = schedule(problem)
    assert faults(problem, result.timetable.turns) == []
    assert result.timetable.length == shortest(problem) == result.bound
    assert result.proven


@before_landing
@pytest.mark.parametrize("seed", range(40, counts(quick=42, landing=45, nightly=60)))
def test_three_people_too(seed):
    problem = random_problem(seed, 4, people=3, least=1)
    assert schedule(problem).timetable.length == shortest(problem)


@before_landing
@pytest.mark.parametrize("seed", range(counts(quick=12, landing=15, nightly=2000)))
def test_every_list_schedule_keeps_the_rules_and_the_bound(seed):
    problem = random_problem(seed, 3 + seed % 12, people=2 + seed % 2, closed=bool(seed % 5))
    paths = Paths(problem)
    found = list(islice(list_schedules(problem, paths, paths.order), 8))
    assert found
    for timetable in found:
        assert faults(problem, timetable.turns) == []
        assert timetable.length >= lower_bound(problem, paths)


@pytest.mark.parametrize("seed", range(counts(quick=3, landing=6, nightly=40)))
def test_the_closed_bound_is_not_above_the_shortest(seed):
    problem = random_problem(1000 + seed, 4, least=1, closed=bool(seed % 3))
    assert lower_bound(problem, Paths(problem)) <= shortest(problem)


@before_landing
@pytest.mark.parametrize("seed", range(counts(quick=1, nightly=4)))
def test_a_larger_timetable_keeps_the_rules_whatever_the_search_does_to_it(seed):
    problem = random_problem(seed, 30)
    result = schedule(problem, limits=SOME_WORK)
    assert faults(problem, result.timetable.turns) == []
    assert result.bound <= result.timetable.length <= result.listed


@before_landing
def test_the_same_question_has_the_same_answer():
    problem = random_problem(5, counts(quick=14, landing=28, nightly=28))
    assert schedule(problem, limits=SOME_WORK) == schedule(problem, limits=SOME_WORK)


@before_landing
def test_one_person_takes_as_long_as_the_engine_says():
    problem = random_problem(3, 9, people=1)
    alone = Problem(
        problem.durations,
        tuple(roles[0] for roles in problem.roles),
        problem.changes,
        problem.starts,
        problem.needs,
        tuple((op,) for op in range(9)),
    )
    assert schedule(problem).timetable.length == solve(alone, Limits()).cost


def test_a_person_who_waits_with_the_only_tool_keeps_it_from_the_other():
    # Set-up 0: bare hands; 1: with the tool. Operation 2 waits for the long one and for the tool's first use.
    problem = CrewProblem(
        people=2,
        durations=(5, 1, 1, 2),
        roles=((0,), (1,), (1,), (1,)),
        changes=((0, 0), (0, 0)),
        starts=(0, 0),
        needs=((), (), ((0,), (1,)), ()),
        resources=(Resource(1, give=1),),
        holds=((), (0,)),
    )
    waiting = Floor(problem)
    waiting.put(0, (0,), 0)
    waiting.put(1, (1,), 0)
    waiting.put(2, (1,), 5)  # person 1 has kept the tool since 0
    assert waiting.earliest(3, (0,)) == 7
    lent = Floor(problem)
    lent.put(0, (0,), 0)
    lent.put(1, (1,), 0)
    lent.put(3, (0,), 5)  # person 0 has it now, and person 1 can't go on with it
    assert lent.earliest(2, (1,)) is None
    assert lent.earliest(2, (0,)) == 7
    held = (Turn(1, 0, 1, (1,)), Turn(3, 2, 4, (0,)), Turn(2, 5, 6, (1,)))
    assert any("in use" in fault for fault in faults(problem, held))


def vars_of(problem):
    return {name: getattr(problem, name) for name in problem.__dataclass_fields__}


def test_the_best_of_one_person_shared_out_is_no_bound():
    """Two chains between two set-ups: one person changes at every step, two keep to a set-up each."""
    size = 8
    needs = tuple(((op - 1,),) if op else () for op in range(size))
    setups = tuple(op % 2 for op in range(size))
    changes, starts = ((0, 10), (10, 0)), (0, 0)
    goals = tuple((op,) for op in range(size))
    alone = solve(Problem((1,) * size, setups, changes, starts, needs, goals))
    two = schedule(CrewProblem(2, (1,) * size, tuple((s,) for s in setups), changes, starts, needs))
    assert two.proven
    assert two.timetable.length == 8
    assert alone.cost / 2 > two.timetable.length


def test_an_arborescence_breaks_circles():
    # Chu & Liu: the cheap circle 1-2 has to be entered once from the root.
    costs = [[0, 10, 8], [0, 0, 1], [0, 1, 0]]
    assert arborescence(costs) == 9


def test_nothing_to_do_takes_no_time():
    result = schedule(CrewProblem(2, (), (), (), (), ()))
    assert (result.status, result.bound, result.timetable.turns) == (Status.PROVEN, 0, ())


@before_landing
def test_a_gap_that_is_allowed_ends_the_search():
    problem = random_problem(5, counts(quick=14, landing=28, nightly=28))
    result = schedule(problem, limits=CrewLimits(gap=1.0))
    assert result.timetable.length == result.listed


@before_landing
def test_a_clock_ends_the_search_and_the_bound_stays_true():
    problem = random_problem(5, 40)
    result = schedule(problem, limits=CrewLimits(seconds=0.5))
    assert faults(problem, result.timetable.turns) == []
    assert result.bound <= result.timetable.length


@before_landing
def test_progress_is_told_and_never_gets_worse():
    told = []
    result = schedule(
        random_problem(7, counts(quick=12, landing=20, nightly=20)),
        limits=SOME_WORK,
        progress=lambda a, b: told.append((a, b)),
    )
    assert [a for a, _ in told] == sorted((a for a, _ in told), reverse=True)
    assert told[-1][0] == result.timetable.length


def test_the_keyboard_ends_the_search_with_the_best_so_far():
    class Stop:
        calls = 0

        def __call__(self, *_):
            self.calls += 1
            if self.calls == 2:
                raise KeyboardInterrupt

    problem = random_problem(5, counts(quick=14, landing=28, nightly=28))
    result = schedule(problem, limits=SOME_WORK, progress=Stop())
    assert result.interrupted
    assert faults(problem, result.timetable.turns) == []


@before_landing
@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"people": 0}, "people is 0"),
        ({"durations": (1,)}, "roles has 2 entries instead of 1"),
        ({"roles": ((0,), (0, 0, 0))}, r"roles\[1\] takes 3 people; there are 2"),
        ({"roles": ((0,), (4,))}, r"roles\[1\] is \(4,\)"),
        ({"durations": (1, -1)}, r"durations\[1\] is -1"),
        ({"needs": ((), ((7,),))}, r"needs\[1\] has \(7,\)"),
        ({"needs": (((1,),), ((0,),))}, "wait for one another"),
        ({"holds": ((3,),)}, r"holds\[0\]"),
        ({"demands": ((), ((0, 9),))}, r"demands\[1\]"),
        ({"durations": (1, 0), "roles": ((0,), (0, 0))}, "what takes several people lasts"),
    ],
)
def test_numbers_that_do_not_fit_are_refused(change, message):
    good = CrewProblem(2, (1, 1), ((0,), (0,)), ((0,),), (0,), ((), ()), (Resource(1),), ((0,),))
    assert schedule(good).proven
    with pytest.raises(ProblemError, match=message):
        schedule(CrewProblem(**{**vars_of(good), **change}))


@pytest.mark.parametrize("limits", [CrewLimits(work=-1), CrewLimits(seconds=-1), CrewLimits(gap=2)])
def test_limits_that_cannot_be_kept_are_refused(limits):
    with pytest.raises(ProblemError):
        schedule(random_problem(1, 3), limits=limits)


def test_what_everything_leads_up_to_leaves_the_others_idle():
    """Three tens before a last ten: the load alone says 20, but the three take 15 for two people."""
    needs = ((), (), (), ((0,), (1,), (2,)))
    problem = CrewProblem(2, (10,) * 4, ((0,),) * 4, ((0,),), (0,), needs)
    assert lower_bound(problem, Paths(problem)) == 25
    assert schedule(problem).timetable.length == 30
