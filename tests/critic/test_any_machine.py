"""Whatever a file holds, what is found in it can be said, and costs little beside the plan."""

from pathlib import Path

import pytest

from sequencer import plan_removal, read_machine
from sequencer.critic import findings, findings_at
from sequencer.critic.whole_order import job_of
from sequencer.document.plans.critic import oddities
from sequencer.machine.reading import read_text
from tests.support.measure import growth
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine

VAN = Path(__file__).resolve().parents[2] / "models" / "delivery-van.yaml"


@pytest.mark.parametrize("seed", range(counts(quick=3, landing=12, nightly=300)))
def test_what_is_found_in_a_machine_by_chance_can_be_said(seed):
    text, _ = random_machine(seed, 6, torques=True)
    machine = read_text(text, "chance.yaml").machine
    if machine is not None:
        told = oddities(machine, findings(machine, *job_of(machine)))
        assert not [one for one in told if "{" in one.odd or not one.mend]
        assert all(1 <= one.place.line <= text.count("\n") for one in told)


def test_one_name_for_two_things_is_told_apart():
    text = """
machine: Mower
positions: {here: {}, oil: {label: Tipped on its side}}
fluids: {oil: {label: Sump oil, volume: 1 L}}
parts: {deck: {from: oil, joints: {bolts: {kind: bolt, head: 13, count: 3}}}}
"""
    machine = read_text(text, "mower.yaml").machine
    (told,) = oddities(machine, findings(machine))
    assert told.odd == "Tipped on its side: what is still aboard runs out (Sump oil)"


@before_landing
@pytest.mark.usefixtures("read_afresh")
def test_the_critic_costs_little_beside_reading_the_file():
    plan = plan_removal(read_machine(VAN), off="alternator")
    findings_at(plan)  # the tables are read once in a run
    assert growth(lambda: read_machine(VAN), lambda: findings_at(plan)) < 1
