"""Seeded jobs of any size, built like machines: parts with joints, one in front of another.

Structure, for ``generate(operations, seed)``:

* 3 to 6 positions, 4 to 9 tools on 1 to 3 drives, and bare hands. About half of all (position, tool) pairs
  occur, most operations in a third of them: a job of 60 to 800 operations has some 10 to 45 set-ups.
* Changing the tool costs 7 on one drive, or 4 to put down and 8 to pick up. Positions cost 12 to 30 between
  them, and one of them (lying underneath) 60 to 90 more to get into and 40 to 60 to get out of. Shortest
  ways.
* Parts of 2 to 5 joints; each joint is an operation, and so is taking the part off, by hand, after its
  joints.
* A part sits behind 0 to 3 earlier ones, mostly among the last 12; a joint now and then behind one more.
* With ``alternatives``, that many clauses hold two or three parts instead of one, so that the target has a
  choice of ways in; the target is the last part, and parts that nothing asks for stay.

Without alternatives every operation is a goal. Units are seconds. All invented.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field

from sequencer.engine import Problem
from sequencer.engine.base.costs import Costs


@dataclass
class _Sketch:
    durations: list[int] = field(default_factory=list)
    places: list[tuple[int, int]] = field(default_factory=list)
    needs: list[list[tuple[int, ...]]] = field(default_factory=list)

    def add(self, duration: int, place: tuple[int, int], needs: list[tuple[int, ...]]) -> int:
        self.durations.append(duration)
        self.places.append(place)
        self.needs.append(needs)
        return len(self.durations) - 1


def generate(operations: int, seed: int, alternatives: int = 0) -> Problem:
    """A job of exactly ``operations`` operations."""
    rng = random.Random(f"{operations}/{seed}/{alternatives}")
    positions, tools = rng.randint(3, 6), rng.randint(4, 9)
    drives = [rng.randint(0, 2) for _ in range(tools)]
    common = [rng.sample(range(1, tools + 1), max(2, tools // 2)) for _ in range(positions)]
    sketch = _Sketch()
    parts: list[int] = []
    left = alternatives
    while len(sketch.durations) < operations:
        room = operations - len(sketch.durations)
        joints = min(rng.randint(2, 5), room - 1) if room > 1 else 0
        position = rng.randrange(positions)
        recent = parts[-12:] if rng.random() < 0.8 else parts
        behind = rng.sample(recent, min(len(recent), rng.choice((0, 1, 1, 2, 3))))
        if len(sketch.durations) > operations * 0.8 and len(recent) > 2:
            behind = behind or rng.sample(recent, 1)
        clauses = [(part,) for part in behind]
        if left and clauses and len(parts) > 4 and rng.random() < 0.9:
            extra = [part for part in parts[-15:] if part not in behind]
            clauses[0] += tuple(rng.sample(extra, min(len(extra), rng.choice((1, 1, 2)))))
            left -= 1
        undone = []
        for _ in range(joints):
            where = position if rng.random() < 0.8 else rng.randrange(positions)
            tool = rng.choice(common[where]) if rng.random() < 0.85 else rng.randint(1, tools)
            own = list(clauses)
            if parts and rng.random() < 0.15:
                own.append((rng.choice(parts[-12:]),))
            undone.append(sketch.add(rng.randint(5, 90), (where, tool), own))
        parts.append(sketch.add(rng.randint(5, 20), (position, 0), [*((op,) for op in undone), *clauses]))
    return _problem(rng, sketch, positions, drives, parts if alternatives else None)


def _problem(
    rng: random.Random, sketch: _Sketch, positions: int, drives: list[int], parts: list[int] | None
) -> Problem:
    under = rng.randrange(positions)
    walk = [[rng.randint(12, 30) for _ in range(positions)] for _ in range(positions)]
    into, out = rng.randint(60, 90), rng.randint(40, 60)
    places = list(dict.fromkeys(sketch.places))

    def change(a: tuple[int, int], b: tuple[int, int]) -> int:
        move = 0
        if a[0] != b[0]:
            move = walk[min(a[0], b[0])][max(a[0], b[0])]
            move += (into if b[0] == under else 0) + (out if a[0] == under else 0)
        tool = 0
        if a[1] != b[1]:
            swap = a[1] and b[1] and drives[a[1] - 1] == drives[b[1] - 1]
            tool = 7 if swap else (4 if a[1] else 0) + (8 if b[1] else 0)
        return move + tool

    rows = tuple(tuple(change(a, b) for b in places) for a in places)
    home = (places[0][0], 0)
    costs = Costs(rows, tuple(change(home, b) for b in places)).closure
    every = range(len(sketch.durations))
    return Problem(
        durations=tuple(sketch.durations),
        setups=tuple(places.index(place) for place in sketch.places),
        changes=costs.changes,
        starts=costs.starts,
        needs=tuple(map(tuple, sketch.needs)),
        goals=tuple((op,) for op in every) if parts is None else tuple((p,) for p in parts[-3:]),
    )
