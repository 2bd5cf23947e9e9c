"""Two devices at one job, one of which loses its connection while both work."""

from tests.benchmarks.bench_page import two_devices
from tests.support.profile import before_landing


@before_landing
def test_two_devices_end_equal_when_one_was_away_and_both_ticked(device, served):
    """A short time here; the benchmark of the page takes a minute, on the van's job."""
    met = two_devices(device("one"), device("two"), away=3, ticks=5, meanwhile=2)
    assert (met.lost, met.doubled, met.equal) == ([], [], True)
