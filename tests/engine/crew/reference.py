"""A timetable checked against the meaning of its problem alone, and the shortest one by trying everything."""

from __future__ import annotations

from itertools import permutations, product

from sequencer.engine.crew import CrewProblem, Turn


def faults(problem: CrewProblem, turns: tuple[Turn, ...]) -> list[str]:
    """All that is wrong with some or all turns of a timetable."""
    found = []
    ends = {turn.op: turn.end for turn in turns}
    if len(ends) < len(turns):
        found.append("an operation is done twice")
    for turn in turns:
        if turn.end - turn.start != problem.durations[turn.op]:
            found.append(f"{turn}: lasts too long or too short")
        if len(set(turn.people)) != len(problem.roles[turn.op]):
            found.append(f"{turn}: the wrong number of people")
        if not all(0 <= person < problem.people for person in turn.people):
            found.append(f"{turn}: by nobody")
        for clause in problem.needs[turn.op]:
            if not any(other in ends and ends[other] <= turn.start for other in clause):
                found.append(f"{turn}: before any of {clause}")
    spans: dict[int, list[tuple[int, int, int]]] = {r: [] for r in range(len(problem.resources))}
    for turn in turns:
        for r, amount in problem.demands[turn.op] if problem.demands else ():
            spans[r].append((turn.start, turn.end, amount))
    for person in range(problem.people):
        found += _person(problem, turns, person, spans)
    for r, uses in spans.items():
        if problem.resources[r].capacity >= problem.people and not problem.demands:
            continue  # enough for everybody
        for moment, _, _ in uses:
            used = sum(amount for start, end, amount in uses if start <= moment < end)
            if used > problem.resources[r].capacity:
                found.append(f"resource {r}: {used} in use at {moment}")
    return found


def _person(problem, turns, person, spans) -> list[str]:
    mine = [
        (t.start, t.end, problem.roles[t.op][t.people.index(person)]) for t in turns if person in t.people
    ]
    found = []
    before = None
    for start, end, setup in mine:
        free, old = (0, None) if before is None else (before[1], before[2])
        change = problem.starts[setup] if old is None else problem.changes[old][setup]
        if start < free + change:
            found.append(f"person {person}: {setup} at {start}, free from {free}, {change} to get there")
        before = (start, end, setup)
    for r, uses in spans.items():
        run = None
        for start, end, setup in [*mine, (0, 0, None)]:
            if setup is not None and problem.holds and r in problem.holds[setup]:
                run = (run[0] if run else start - problem.resources[r].take, end)
            elif run:
                uses.append((run[0], run[1] + problem.resources[r].give, 1))
                run = None
    return found


def shortest(problem: CrewProblem) -> int:
    """The least length, by every sequence and every team, each turn at the first moment without a fault."""
    best = [sum(problem.durations) * 3 + 100]

    def extend(turns: tuple[Turn, ...], left: frozenset[int]) -> None:
        if not left:
            best[0] = min(best[0], max((turn.end for turn in turns), default=0))
            return
        opening = turns[-1].start if turns else 0
        for op, team in product(
            sorted(left), permutations(range(problem.people), max(map(len, problem.roles)))
        ):
            people = team[: len(problem.roles[op])]
            if team[len(people) :] != tuple(sorted(team[len(people) :])):
                continue
            done = {turn.op for turn in turns}
            if not all(done.intersection(clause) for clause in problem.needs[op]):
                continue
            if not turns and people != tuple(range(len(people))):
                continue  # people are alike
            for start in range(opening, best[0] - problem.durations[op]):
                turn = Turn(op, start, start + problem.durations[op], people)
                if not faults(problem, (*turns, turn)):
                    extend((*turns, turn), left - {op})
                    break

    extend((), frozenset(range(len(problem.durations))))
    return best[0]
