"""A machine that is told in short lines: its way back and its next teardown hold on the machine itself."""

import pytest

from tests.benchmarks.replay_told import FILES, chance
from tests.benchmarks.told.trial import trial
from tests.support.profile import before_landing, counts

NUMBERS = counts(quick=(24,), landing=(24, 13), nightly=tuple(range(30)))


@before_landing
@pytest.mark.parametrize("number", NUMBERS)
def test_what_was_told_of_a_random_machine_is_feasible_and_nearly_best(number):
    found = chance(number)
    assert found.faults == []
    assert found.words < 14
    assert (found.back < 0.1, found.into < 0.15) == (True, True), found.line


@before_landing
def test_the_pump_comes_together_with_every_gate():
    path, off = FILES["pump"]
    found = trial(path.read_text(encoding="utf-8"), off, "pump", 0)
    assert found.faults == []
    assert found.back < 0.1
