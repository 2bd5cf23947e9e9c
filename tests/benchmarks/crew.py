"""Several people on generated jobs, in one command: ``python -m tests.benchmarks.crew``.

For each job: the best order of one person (proven, or the best known with a star), the best list schedule,
the schedule after the walk and the windows, CP-SAT on the whole at once for the same work from the same list
schedule, the bound, and how far list and schedule lie above it at the most.

A job is built like a machine: parts of 2 to 4 joints behind 0 to 2 of the last 10 parts, 3 to 5 places (one
of them 80 to get into and 50 out of, the others 12 to 30 apart), 4 to 8 tools on 1 or 2 handles or none, and
every tenth part is lifted by two. A place has room for one or two. There is one of each tool, and as many
handles as ``--handles`` says. Units are seconds. All invented.
"""

from __future__ import annotations

import argparse
import random
import time

from sequencer.engine import Limits, Problem, solve
from sequencer.engine.crew import CrewLimits, CrewProblem, CrewResult, Resource, schedule
from sequencer.engine.crew.cp_model import Model
from sequencer.engine.crew.crew_clock import Clock, run
from sequencer.engine.crew.dispatch import list_schedules
from sequencer.engine.crew.paths import Paths
from tests.engine.crew.reference import faults

PICK, PUT, SWAP = 8, 4, 7


def generate(operations: int, seed: int, people: int, handles: int) -> CrewProblem:
    """A job of about ``operations`` operations."""
    rng = random.Random(f"crew {operations}/{seed}")
    places, tools = rng.randint(3, 5), rng.randint(4, 8)
    drive = [rng.choice((None, 0, 0, 1)) for _ in range(tools)]
    posts: list[tuple[int, int]] = []
    durations: list[int] = []
    roles: list[tuple[int, ...]] = []
    needs: list[tuple[tuple[int, ...], ...]] = []

    def post(place: int, tool: int) -> int:
        if (place, tool) not in posts:
            posts.append((place, tool))
        return posts.index((place, tool))

    def add(seconds: int, setups: tuple[int, ...], before: list[int]) -> int:
        durations.append(seconds)
        roles.append(setups)
        needs.append(tuple((op,) for op in before))
        return len(durations) - 1

    parts: list[int] = []
    room = [rng.choice((1, 2)) for _ in range(places)]
    while len(durations) < operations:
        place = rng.randrange(places)
        behind = rng.sample(parts[-10:], min(len(parts), rng.choice((0, 1, 1, 2))))
        joints = [
            add(rng.randint(10, 120), (post(place, rng.randint(1, tools)),), behind)
            for _ in range(rng.randint(2, 4))
        ]
        lifted = rng.random() < 0.1 and room[place] > 1 and people > 1
        hands = post(place, 0)
        parts.append(add(rng.randint(5, 60), (hands, hands) if lifted else (hands,), joints + behind))
    walk = [[rng.randint(12, 30) for _ in range(places)] for _ in range(places)]

    def change(a: tuple[int, int], b: tuple[int, int]) -> int:
        move = 0 if a[0] == b[0] else walk[min(a[0], b[0])][max(a[0], b[0])]
        if a[0] != b[0]:
            move += (80 if b[0] == 0 else 0) + (50 if a[0] == 0 else 0)
        if a[1] == b[1]:
            return move
        on = drive[a[1] - 1] if a[1] else None
        if a[1] and b[1] and on is not None and on == drive[b[1] - 1]:
            return move + SWAP
        return move + (PUT if a[1] else 0) + (PICK if b[1] else 0)

    resources = [Resource(count, 80 if n == 0 else 0, 50 if n == 0 else 0) for n, count in enumerate(room)]
    resources += [Resource(1, PICK, PUT) for _ in range(tools)]
    resources += [Resource(handles, PICK, PUT) for _ in range(2)]

    def holds(place: int, tool: int) -> tuple[int, ...]:
        held = [place] + ([places + tool - 1] if tool else [])
        on = drive[tool - 1] if tool else None
        return tuple(held + ([places + tools + on] if on is not None else []))

    return CrewProblem(
        people,
        tuple(durations),
        tuple(roles),
        tuple(tuple(change(a, b) for b in posts) for a in posts),
        tuple(change((a[0], 0), a) for a in posts),
        tuple(needs),
        tuple(resources),
        tuple(holds(*a) for a in posts),
    )


def alone(problem: CrewProblem) -> tuple[tuple[int, ...], str]:
    """The order of one person, and what it comes to."""
    result = solve(
        Problem(
            problem.durations,
            tuple(setups[0] for setups in problem.roles),
            problem.changes,
            problem.starts,
            problem.needs,
            tuple((op,) for op in range(len(problem.durations))),
        ),
        Limits(states=200_000),
    )
    return result.order, f"{result.cost}{'' if result.proven else '*'}"


def at_once(problem: CrewProblem, order: tuple[int, ...], work: float) -> int:
    """CP-SAT on the whole, from the best list schedule."""
    paths = Paths(problem)
    best = min(list_schedules(problem, paths, order), key=lambda found: found.length)
    found = run(Model(problem, paths, best, 0), Clock(CrewLimits(work=work)), work).timetable
    return best.length if found is None else found.length


def line(name: str, problem: CrewProblem, work: float) -> CrewResult:
    """Solve, check, and print a line of the table."""
    order, cost = alone(problem)
    began = time.monotonic()
    result = schedule(problem, order, CrewLimits(work=work))
    took = time.monotonic() - began
    assert faults(problem, result.timetable.turns) == []
    length, bound = result.timetable.length, result.bound
    word = "proven" if result.proven else f"{1 - bound / length:7.1%}"
    print(
        f"{name:9} {cost:>7} {result.listed:6} {length:6} {at_once(problem, order, work):6} {bound:6} "
        f"{1 - bound / result.listed:7.1%} {word:>7} {took:6.1f} s",
        flush=True,
    )
    return result


def main() -> None:
    """Read the command line and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", type=int, nargs="*", default=[12, 25, 50, 100])
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--people", type=int, default=2)
    parser.add_argument("--handles", type=int, default=1)
    parser.add_argument("--work", type=float, default=2.0)
    options = parser.parse_args()
    print("job         alone   list   ours  whole  bound  list to   ours to bound")
    for size in options.sizes:
        gaps = []
        for seed in range(options.seeds):
            problem = generate(size, seed, options.people, options.handles)
            result = line(f"{size}/{seed}", problem, options.work)
            gaps.append(1 - result.bound / result.timetable.length)
        print(f"{size}: mean gap {sum(gaps) / len(gaps):.1%}\n", flush=True)


if __name__ == "__main__":
    main()
