"""Of the machines that ship the critic has nothing to say."""

from pathlib import Path

import pytest

from tests.critic.verdicts import found
from tests.support.profile import counts

ROOT = Path(__file__).resolve().parents[2]


SHIPPED = ("examples/bench-pump.yaml", "models/delivery-van.yaml")


@pytest.mark.parametrize("file", counts(quick=SHIPPED[:1], landing=SHIPPED, nightly=SHIPPED))
def test_nothing_is_odd_about_a_machine_that_ships(file):
    assert found((ROOT / file).read_text(encoding="utf-8"), file) == set()
