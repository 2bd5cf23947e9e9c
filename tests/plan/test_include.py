"""What includes assemblies is planned as the plain text that it comes to: operations, costs and proofs."""

from pathlib import Path

import pytest

from sequencer.engine.problem import Limits
from sequencer.errors import SequencerError
from sequencer.graph.derive import derive
from sequencer.graph.targets import parse_targets
from sequencer.machine import load, read, read_text
from sequencer.machine.expand import expanded
from sequencer.plan.practice.rules import Practice
from sequencer.plan.refit import plan_refit
from sequencer.plan.teardown import plan_teardown
from tests.plan.library_machines import ALL, FOLDER
from tests.plan.test_repeat import said
from tests.support.profile import PROFILE, before_landing, counts
from tests.support.random_includes import random_included

ROOT = Path(__file__).parents[2]
LIMITS = Limits(states=5_000)
"""The same for both: they then stop at the same order, and say the same of its proof."""


def plans(machine, targets, practice):
    texts = {verb: [what for one, what in targets if one == verb] for verb in ("off", "reach")}
    wanted = parse_targets(machine, texts["off"], texts["reach"])
    removal = plan_teardown(machine, wanted, limits=LIMITS, practice=practice)
    return said(removal), said(plan_refit(removal, limits=LIMITS))


@before_landing
@pytest.mark.parametrize("seed", range(counts(quick=3, landing=5, nightly=300)))
def test_random_machines_are_planned_as_what_they_come_to(seed, tmp_path):
    files, plain, targets = random_included(seed)
    for name, text in files.items():
        (tmp_path / name).write_text(text, "utf-8")
    machine = read(tmp_path / "machine.yaml").machine
    if machine is None:
        assert read_text(plain).machine is None
        return
    written = read_text(expanded(tmp_path / "machine.yaml").text).machine
    found = []
    for one in (machine, read_text(plain).machine, written):
        practice = Practice.ALL if seed % 2 else Practice.NONE
        try:
            found.append(plans(one, targets, practice))
        except SequencerError as why:
            found.append(type(why))
    assert found[0] == found[1] == found[2]


@before_landing
@pytest.mark.parametrize(
    ("name", "jobs"),
    [("examples/yard-tug.yaml", ["right-hub", "pump"]), ("examples/bench-pump.yaml", ["seal"])],
)
def test_what_ships_is_planned_as_what_expand_writes(name, jobs):
    machine, written = load(ROOT / name), read_text(expanded(ROOT / name).text).machine
    assert [str(op) for op in derive(machine).operations] == [str(op) for op in derive(written).operations]
    for job in jobs:
        targets = [("off", job)]
        assert plans(machine, targets, Practice.ALL) == plans(written, targets, Practice.ALL)


MADE_OF_ASSEMBLIES = [name for name in ALL if "\ninclude:" in (FOLDER / f"{name}.yaml").read_text("utf-8")]


@pytest.mark.parametrize("name", counts(quick=MADE_OF_ASSEMBLIES[:1], landing=ALL, nightly=ALL))
def test_a_machine_of_the_library_is_planned_as_what_expand_writes(name):
    """At night all of its jobs, before a landing the last, at once only what can be done at all."""
    path = FOLDER / f"{name}.yaml"
    machine, written = load(path), read_text(expanded(path).text).machine
    assert [str(op) for op in derive(machine).operations] == [str(op) for op in derive(written).operations]
    assert {job: one.off for job, one in machine.jobs.items()} == {
        job: one.off for job, one in written.jobs.items()
    }
    jobs = list(machine.jobs.values())
    for job in {"quick": [], "landing": jobs[-1:], "nightly": jobs}[PROFILE]:
        targets = [("off", one) for one in job.off]
        assert plans(machine, targets, Practice.ALL) == plans(written, targets, Practice.ALL)
