"""Problems by chance, small enough for the reference or large enough to make the search work."""

from __future__ import annotations

import random

from sequencer.engine.base.costs import Costs
from sequencer.engine.crew import CrewProblem, Resource


def random_problem(
    seed: int, size: int, people: int = 2, *, least: int = 0, closed: bool = True
) -> CrewProblem:
    """Set-ups are (place, tool); what is held are places and tools; some operations take two people."""
    rng = random.Random(seed)
    places, tools = rng.randint(1, 3), rng.randint(1, 3)
    posts = [(place, tool) for place in range(places) for tool in range(tools + 1)]
    walk = [[0 if a == b else rng.randint(0, 4) for b in range(places)] for a in range(places)]
    pick, put = rng.randint(0, 3), rng.randint(0, 2)

    def change(a: tuple[int, int], b: tuple[int, int]) -> int:
        tool = 0 if a[1] == b[1] else (put if a[1] else 0) + (pick if b[1] else 0)
        return walk[a[0]][b[0]] + tool

    costs = Costs(
        tuple(tuple(change(a, b) for b in posts) for a in posts),
        tuple(pick if tool else 0 for _, tool in posts),
    )
    if closed:
        costs = costs.closure
    roles, needs, durations = [], [], []
    for op in range(size):
        place, tool = rng.randrange(places), rng.randint(0, tools)
        helper = (posts.index((place, 0)),) if people > 1 and rng.random() < 0.2 else ()
        roles.append((posts.index((place, tool)), *helper))
        durations.append(rng.randint(1 if helper else least, 6))
        earlier = list(range(op))
        needs.append(
            tuple(
                tuple(rng.sample(earlier, min(len(earlier), rng.choice((1, 1, 2)))))
                for _ in range(rng.choice((0, 0, 1, 1, 2)))
                if earlier
            )
        )
    lifts = {posts[roles[op][0]][0] for op in range(size) if len(roles[op]) > 1}
    room = [max(2 if place in lifts else 1, rng.randint(1, people)) for place in range(places)]
    resources = [Resource(count, rng.randint(0, 2), rng.randint(0, 2)) for count in room]
    resources += [Resource(rng.choice((1, 1, 2)), pick, put) for _ in range(tools)]
    holds = tuple((place, places + tool - 1) if tool else (place,) for place, tool in posts)
    return CrewProblem(
        people,
        tuple(durations),
        tuple(roles),
        costs.changes,
        costs.starts,
        tuple(needs),
        tuple(resources),
        holds,
    )
