"""Of the machines that ship the critic has nothing to say."""

from pathlib import Path

import pytest

from tests.critic.verdicts import found

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize("file", ["examples/bench-pump.yaml", "models/delivery-van.yaml"])
def test_nothing_is_odd_about_a_machine_that_ships(file):
    assert found((ROOT / file).read_text(encoding="utf-8"), file) == set()
