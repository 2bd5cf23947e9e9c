"""A job on a machine that is made ready for work: in and back, to its end."""

from tests.job.through import through
from tests.support.profile import before_landing
from tests.support.readied import STANDS, TIPPED


def test_a_set_on_stands_is_lowered_at_the_end(tmp_path):
    way_in, home = through(tmp_path, STANDS, ["mount"])
    assert way_in.index("task chock") < way_in.index("task raise")
    assert home.index("torque mount/bolts") < home.index("restore raise") < home.index("restore chock")


@before_landing
def test_a_set_that_is_tipped_over_gets_its_oil_after_the_last_work_underneath(tmp_path):
    _, home = through(tmp_path, TIPPED, ["mount"])
    assert home.index("torque mount/pin") < home.index("fill oil") < home.index("restore turn")
    assert "fill rinse" not in home
