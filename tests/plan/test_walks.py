"""Random jobs with discoveries and work out of order, replayed by an independent checker; and the checker."""

import ast
import copy
from pathlib import Path

import pytest

from tests.support.profile import before_landing, counts
from tests.support.walk_checker import check_walk
from tests.support.walks import Walk

# The full 300 are in tests/benchmarks/walks.py.


SEEDS = counts(
    quick=[(0,)], landing=[range(4)], nightly=[range(first, first + 10) for first in range(0, 40, 10)]
)


@pytest.mark.parametrize("seeds", SEEDS, ids=str)
def test_every_offered_step_is_possible_no_target_is_lost_and_every_way_back_is_whole(seeds):
    jobs = 0
    for seed in seeds:
        walk = Walk(seed, 3 + seed % 3).run()
        if walk.possible:
            jobs += 1
            assert check_walk(walk.log) == [], seed
    assert jobs >= 0.7 * len(seeds)


@pytest.fixture(scope="module")
def log():
    """A job with a discovery, work out of order, and a whole way back."""
    for seed in range(104, 200):
        walk = Walk(seed, 5).run()
        gates = [e for e in walk.log if e.get("done", "").startswith("torque ")]
        if walk.possible and walk.discoveries and walk.out_of_order and walk.turns == 1 and len(gates) > 1:
            assert check_walk(walk.log) == []
            return walk.log
    raise AssertionError("no such job among so many")


def faults_of(log, damage):
    damaged = copy.deepcopy(log)
    damage(damaged)
    assert damaged != log
    return check_walk(damaged)


def index(log, test):
    return next(n for n, entry in enumerate(log) if test(entry))


def without_entry(test):
    def damage(log):
        del log[index(log, test)]

    return damage


@before_landing
def test_a_step_that_comes_too_soon_is_caught(log):
    def damage(log):
        plan = next(entry for entry in log if entry.get("plan"))
        plan["plan"].reverse()

    assert any(fault.startswith("plan: ") for fault in faults_of(log, damage))


@before_landing
def test_a_target_that_is_lost_is_caught(log):
    def damage(log):
        for entry in log:
            if "plan" in entry:
                entry["plan"] = []

    assert any(fault.endswith("is lost") for fault in faults_of(log, damage))


@before_landing
def test_a_target_that_is_wrongly_given_up_is_caught(log):
    def damage(log):
        entry = next(entry for entry in log if "machine" in entry)
        plan = next(entry for entry in log if "plan" in entry)
        plan["stuck"] = [list(entry["targets"][0])]

    assert any("is said to be stuck, and can be reached" in fault for fault in faults_of(log, damage))


def test_an_offer_of_something_done_is_caught(log):
    def damage(log):
        first = index(log, lambda entry: "done" in entry)
        log.insert(first + 1, {"offered": [log[first]["done"]]})

    assert any("done already" in fault for fault in faults_of(log, damage))


@before_landing
def test_a_step_of_the_way_back_that_is_left_out_is_caught(log):
    def is_fastening(entry):
        return entry.get("done", "").startswith("fasten ")

    assert faults_of(log, without_entry(is_fastening))


def test_a_gate_that_is_left_open_is_caught(log):
    def is_gate(entry):
        return entry.get("done", "").startswith("torque ")

    found = faults_of(log, without_entry(is_gate))
    assert any("torque" in fault for fault in found)


def test_a_refit_that_lacks_a_gate_is_caught(log):
    def damage(log):
        refit = next(entry for entry in log if "refit" in entry)
        refit["refit"] = [name for name in refit["refit"] if not name.startswith("torque ")]

    assert any(fault.startswith("refit: torque ") for fault in faults_of(log, damage))


def test_the_walk_checker_imports_nothing_of_the_program():
    tree = ast.parse((Path(__file__).parents[1] / "support" / "walk_checker.py").read_text("utf-8"))
    found = [node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
    found += [alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names]
    assert found
    assert not [name for name in found if name.split(".")[0] == "sequencer"]
