"""Published optima of sequential ordering instances (TSPLIB95, Reinelt 1991), proven."""

from itertools import pairwise

import pytest

from sequencer.engine import solve
from tests.engine.sop import FOLDER, read
from tests.support.profile import counts

OPTIMA = {"ESC07": 2125, "ESC12": 1675, "ESC25": 1681, "br17.10": 55, "br17.12": 55}


@pytest.mark.parametrize("name", sorted(OPTIMA.keys() - counts(quick={"ESC25"}, nightly=set())))
def test_the_published_optimum_is_proven(name: str) -> None:
    path = FOLDER / f"{name}.sop"
    if not path.exists():
        pytest.skip(f"the instance {name} is not beside this checkout ({path})")
    problem = read(path)
    result = solve(problem)
    assert result.proven
    assert result.cost == OPTIMA[name]
    ways = pairwise(result.order)
    assert result.cost == problem.starts[result.order[0]] + sum(problem.changes[a][b] for a, b in ways)
