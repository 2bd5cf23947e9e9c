"""Sequential ordering instances in the TSPLIB95 format (Reinelt 1991), read into the engine's words."""

from __future__ import annotations

from pathlib import Path

from sequencer.engine import Problem

FOLDER = Path(__file__).resolve().parents[3] / "shared" / "data" / "sop"
"""The instances lie beside the repository and are not part of it."""


def read(path: Path) -> Problem:
    """A path from node 0 through all nodes; operation i is node i + 1, each a set-up of its own.

    The cost of an arc that the precedences forbid (−1) is never paid; it is set to the largest of the others.
    """
    numbers = [int(word) for word in path.read_text().split() if word.lstrip("-").isdigit()]
    n = numbers[0]
    rows = [numbers[1 + n * i : 1 + n * (i + 1)] for i in range(n)]
    assert len(rows[-1]) == n
    most = max(map(max, rows))
    nodes = range(1, n)
    return Problem(
        durations=(0,) * (n - 1),
        setups=tuple(range(n - 1)),
        changes=tuple(
            tuple(0 if i == j else most if rows[i][j] < 0 else rows[i][j] for j in nodes) for i in nodes
        ),
        starts=tuple(rows[0][j] for j in nodes),
        needs=tuple(tuple((j - 1,) for j in nodes if i != j and rows[i][j] == -1) for i in nodes),
        goals=tuple((i - 1,) for i in nodes),
    )
