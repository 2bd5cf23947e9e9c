"""What holds of all machines of the library: their jobs are planned and proven, nothing about them is odd."""

from pathlib import Path
from time import process_time

import pytest

from sequencer.critic import findings
from sequencer.critic.whole_order import job_of
from sequencer.graph import parse_targets
from sequencer.graph.geometry import scan
from sequencer.plan.practice.rules import RuleName
from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.plan.library_machines import ALL, FOLDER, both_ways, machine
from tests.support.checker import check_plan
from tests.support.practice_checker import breaches_back
from tests.support.profile import before_landing, counts
from tests.support.refit_checker import check_refit
from tests.support.spelled_out import spelled_out

GUIDE = (Path(__file__).parents[2] / "examples/guide/library.md").read_text("utf-8")
OLD = "delivery-van"
"""Older than the library, and tried by tests of its own."""
MACHINES = [name for name in ALL if name != OLD]


@pytest.mark.parametrize("name", MACHINES)
def test_it_has_three_typical_jobs_says_what_varies_and_stands_in_the_guide(name):
    jobs = machine(name).jobs.values()
    assert len(jobs) >= 3
    assert all(job.purpose and job.renew for job in jobs)
    head = (FOLDER / f"{name}.yaml").read_text("utf-8").partition("machine:")[0]
    assert "INVENTED, as a type" in head
    assert "# What varies between real ones:" in head
    assert f"| `{name}` |" in GUIDE


@before_landing
@pytest.mark.parametrize("name", MACHINES)
def test_each_job_is_planned_both_ways_and_proven_in_ten_seconds(name):
    for job in machine(name).jobs:
        begun = process_time()
        removal, refit = both_ways(name, job)
        assert process_time() - begun < 10, job
        assert (removal.proven, refit.proven) == (True, True), job
        dropped = (one for plan in (removal, refit) for one in plan.practice.dropped)
        # a seal that waits names its wait
        assert [one.subject for one in dropped if one.name is not RuleName.SEALED] == [], job


@before_landing
@pytest.mark.parametrize("name", ALL)
def test_the_independent_reading_finds_no_fault_in_any_job_either_way(name):
    """With what the page leaves to the program written into the file: times by kind, tools by head."""
    text = spelled_out(FOLDER / f"{name}.yaml", machine(name))
    jobs = list(machine(name).jobs.items())
    for job, about in counts(quick=[], landing=jobs[1:2], nightly=jobs):  # the van's first takes a minute
        removal, refit = both_ways(name, job)
        there, home = teardown_json(removal), refit_json(refit)
        targets = [("off", part) for part in about.off]
        assert [fault for fault in check_plan(text, targets, there) if "less" not in fault] == [], job
        assert check_refit(text, targets, there, home) == [], job
        assert breaches_back(text, there, home) == [], job


@before_landing
@pytest.mark.parametrize("name", MACHINES)
def test_nothing_is_odd_about_it_and_the_scan_agrees(name):
    model = machine(name)
    assert list(findings(model, *job_of(model, ()))) == []
    for job in model.jobs.values():
        assert list(findings(model, *job_of(model, parse_targets(model, job.off)))) == []
    seen = scan(model)
    assert (list(seen.hidden), list(seen.doubts)) == ([], [])
