"""The benchmark table, in one command: ``python -m tests.benchmarks.table``.

Generated jobs of each size (see ``generator``), with and without alternatives, and the published sequential
ordering instances. Costs, bounds and gaps are those of the changes alone: what the order can do something
about (the gap of the whole job, durations included, is smaller). ``--against`` runs the routing library on
the same jobs for as long as the engine took, and then it and CP-SAT with a circuit for ten times as long (a
second at the least).
"""

from __future__ import annotations

import argparse
import time
from dataclasses import replace

from sequencer.engine import Limits, Problem, Result, Status, ask, solve
from tests.benchmarks.generator import generate
from tests.engine.reference import cost_of
from tests.engine.sop import FOLDER, read
from tests.engine.variants import with_goal

SECONDS = {60: 1.0, 100: 10.0, 130: 30.0, 200: 60.0, 400: 60.0, 800: 60.0}
ALTERNATIVES = {(100, 20): 5.0, (200, 20): 60.0}
PUBLISHED = {
    "ESC07": 2125,
    "ESC12": 1675,
    "ESC25": 1681,
    "br17.10": 55,
    "br17.12": 55,
    "p43.1": 28140,
    "ft53.1": 7531,
    "ft53.4": 14425,
    "ft70.1": 39313,
    "ry48p.1": 15805,
}


def changes(problem: Problem, result: Result) -> tuple[int, int]:
    """Cost and bound of the changes, for a result whose operations are given."""
    spent = sum(problem.durations[op] for op in result.order)
    return result.cost - spent, result.bound - spent


def run(name: str, problem: Problem, seconds: float) -> Result:
    """Solve, check the answer, and print a line."""
    began = time.monotonic()
    result = solve(problem, Limits(seconds=seconds))
    took = time.monotonic() - began
    assert cost_of(problem, result.order) == result.cost
    assert result.bound <= result.cost
    cost, bound = changes(problem, result)
    gap = 100 * (cost - bound) / cost if cost else 0.0
    word = "proven" if result.status is Status.PROVEN else f"gap {gap:.1f} %"
    states = result.counters.states
    print(f"{name:14} {cost:7} {max(0, bound):7}  {word:11} {took:6.2f} s  {states:9} states", flush=True)
    return result


def generated(sizes: list[int], seeds: int, times: float, against: bool) -> None:
    """Every size and seed; at the end of a size how many were proven."""
    for size in sizes:
        proven = 0
        for seed in range(seeds):
            problem = generate(size, seed)
            began = time.monotonic()
            result = run(f"{size}/{seed}", problem, SECONDS[size] * times)
            proven += result.proven
            if against:
                compare(problem, changes(problem, result)[0], time.monotonic() - began)
        print(f"{size}: {proven} of {seeds} proven within {SECONDS[size] * times:g} s\n", flush=True)


def without_a_leaf(problem: Problem) -> tuple[Problem, int]:
    """The job without the target that the least hangs on, nor what only that asks for; and the target."""
    every = range(len(problem.durations))
    users = [{o for o in every for clause in problem.needs[o] if op in clause} for op in every]
    best: set[int] = set(every)
    for leaf in (op for op in every if not users[op]):
        gone = {leaf}
        while more := {op for op in every if op not in gone and users[op] and users[op] <= gone}:
            gone |= more
        if len(gone) <= len(best):
            best, target = gone, leaf
    return replace(problem, goals=tuple(goal for goal in problem.goals if goal[0] not in best)), target


def warm(seeds: int, seconds: float) -> None:
    """A second question with one target more, against the first: work in states, and processor seconds."""
    within = 0
    for seed in range(seeds):
        former, target = without_a_leaf(generate(100, seed))
        began = time.process_time()
        first = ask(former, Limits(seconds=seconds))
        between = time.process_time()
        second = first.again(with_goal(former, (target,)), Limits(seconds=seconds)).result
        took, again = between - began, time.process_time() - between
        states, more = first.result.counters.states, second.counters.states
        assert second.cost == solve(with_goal(former, (target,)), Limits(seconds=seconds)).cost
        within += second.proven and again <= took / 5 and more <= states / 5
        print(
            f"100+target/{seed}  first {took:6.2f} s {states:8}  second {again:6.2f} s {more:8}", flush=True
        )
    print(f"a second question within a fifth of the first: {within} of {seeds}\n", flush=True)


def compare(problem: Problem, ours: int, took: float) -> None:
    """The general-purpose solvers on the same job, and by how much the engine's changes are below theirs."""
    from tests.benchmarks.general import circuit, routing

    longer = max(1.0, 10 * took)
    for name, solver, seconds in (
        ("routing", routing, max(1.0, took)),
        ("routing", routing, longer),
        ("CP-SAT", circuit, longer),
    ):
        outcome = solver(problem, seconds)
        less = f"{100 * (outcome.cost - ours) / outcome.cost:5.1f} % less" if outcome.cost else "no order"
        print(f"  {name:8} {seconds:6.1f} s {outcome.cost!s:>7} {outcome.bound!s:>7}  {less}", flush=True)


def main() -> None:
    """Read the command line and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", type=int, nargs="*", default=[60, 100])
    parser.add_argument("--seeds", type=int, default=10)
    parser.add_argument("--times", type=float, default=1.0, help="multiplies the seconds of every bar")
    parser.add_argument("--against", action="store_true")
    parser.add_argument("--no-alternatives", action="store_true")
    parser.add_argument("--no-sop", action="store_true")
    options = parser.parse_args()
    generated(options.sizes, options.seeds, options.times, options.against)
    if 100 in options.sizes:
        warm(options.seeds, SECONDS[100] * options.times)
    if not options.no_alternatives:
        for (size, count), seconds in ALTERNATIVES.items():
            if size in options.sizes:
                for seed in range(options.seeds):
                    run(f"{size}+{count}/{seed}", generate(size, seed, count), seconds * options.times)
    if not options.no_sop:
        for name, best in PUBLISHED.items():
            if (FOLDER / f"{name}.sop").exists():
                run(f"{name} ({best})", read(FOLDER / f"{name}.sop"), 20 * options.times)


if __name__ == "__main__":
    main()
