"""A job with a jack: in a job under way it stays where it is until the way back."""

from tests.job.through import through
from tests.plan.test_carries import GEARBOX


def test_a_jack_stays_until_its_load_is_held_again(tmp_path):
    way_in, home = through(tmp_path, GEARBOX, ["gearbox", "mount"])
    assert "restore prop" not in way_in
    assert "task prop" not in home
    assert home.index("fasten gearbox/bolts") < home.index("restore prop")
