"""A job with a jack: in a job under way it stays where it is until the way back."""

import pytest

from sequencer.plan.practice.rules import Practice
from tests.job.through import through
from tests.plan.test_carries import GEARBOX


@pytest.mark.parametrize("practice", list(Practice))
def test_a_jack_stays_until_its_load_is_held_again(tmp_path, practice):
    way_in, home = through(tmp_path, GEARBOX, ["gearbox", "mount", "guard", "pan"], practice)
    assert "restore prop" not in way_in
    assert "task prop" not in home
    assert home.index("fasten gearbox/bolts") < home.index("restore prop")
