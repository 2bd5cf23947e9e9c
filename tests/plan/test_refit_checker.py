"""The checker of reassemblies itself, held against damage; it imports nothing of the program."""

import ast
import copy
from pathlib import Path

import pytest

from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.plan.jobs import there_and_back
from tests.support.page_example import PAGE
from tests.support.profile import before_landing
from tests.support.refit_checker import check_refit

BOTH = [("off", "bracket"), ("off", "pulley")]


@pytest.fixture(scope="module")
def job():
    way_in, way_back = there_and_back(PAGE, BOTH)
    return teardown_json(way_in), refit_json(way_back)


def test_the_undamaged_way_back_has_no_fault(job):
    assert check_refit(PAGE, BOTH, *job) == []


def faults_of(job, damage):
    way_in, way_back = copy.deepcopy(job)
    damage(way_back)
    assert way_back != job[1]
    return check_refit(PAGE, BOTH, way_in, way_back)


def moved(name, to):
    """The step `name` just before the step `to`, or at the end."""

    def damage(plan):
        step = next(s for s in plan["steps"] if s["op"] == name)
        plan["steps"].remove(step)
        where = next((i for i, s in enumerate(plan["steps"]) if s["op"] == to), len(plan["steps"]))
        plan["steps"].insert(where, step)

    return damage


def without(name):
    def damage(plan):
        plan["steps"] = [step for step in plan["steps"] if step["op"] != name]

    return damage


def added(name):
    def damage(plan):
        plan["steps"].append({**plan["steps"][-1], "op": name})

    return damage


def changed(key, value, op=None, among="steps"):
    def damage(plan):
        if among == "steps":
            next(s for s in plan["steps"] if s["op"] == op)[key] = value
        elif among == "gates":
            next(g for g in plan["gates"] if g["joint"] == op)[key] = value
        else:
            (plan[among] if among else plan)[key] = value

    return damage


@before_landing
@pytest.mark.parametrize(
    ("damage", "fault"),
    [
        (without("fit belt"), "fit belt: missing"),
        (without("seat motor"), "seat motor: missing"),
        (without("tighten motor/feet"), "tighten motor/feet: missing"),
        (without("fasten bracket/near"), "fasten bracket/near: missing"),
        (without("torque motor/feet"), "torque motor/feet: missing"),
        (without("restore isolate"), "restore isolate: missing"),
        (without("leak-check oil"), "leak-check oil: missing"),
        (added("fit motor"), "fit motor: nothing asks for it"),
        (added("torque bracket/near"), "torque bracket/near: nothing asks for it"),
        (added("fit belt"), "fit belt: done more than once"),
        (moved("fit belt", "fit pulley"), "fit pulley: belt is in front"),
        (moved("fit guard", "torque pulley/bolts"), "torque pulley/bolts: guard is in front"),
        (moved("seat motor", "fasten bracket/far"), "fasten bracket/far: {'motor': 'loose'} is in front"),
        (moved("fit pulley", None), "fasten pulley/bolts: before fit pulley"),
        (
            moved("torque pulley/bolts", "fasten belt/tension"),
            "torque pulley/bolts: before fasten belt/tension",
        ),
        (moved("torque motor/feet", "tighten motor/feet"), "torque motor/feet: before tighten motor/feet"),
        (moved("tighten motor/feet", "seat motor"), "tighten motor/feet: before seat motor"),
        (moved("fill oil", "fasten bracket/near"), "fill oil: before fasten bracket/near"),
        (moved("leak-check oil", "fill oil"), "leak-check oil: before fill oil"),
        (moved("leak-check oil", None), "leak-check oil: guard is in front"),
        (moved("restore isolate", "fit guard"), "fit guard: after restore isolate"),
    ],
)
def test_a_wrong_order_or_choice_is_caught(job, damage, fault):
    found = faults_of(job, damage)
    assert fault in found, found


@before_landing
@pytest.mark.parametrize(
    ("damage", "fault"),
    [
        (changed("seconds", 40, "seat motor"), "seat motor: seconds 40"),
        (changed("seconds", 50, "tighten motor/feet"), "tighten motor/feet: seconds 50"),
        (changed("seconds", 0, "torque motor/feet"), "torque motor/feet: takes no time"),
        (changed("change_seconds", 7, "torque pulley/bolts"), "torque pulley/bolts: change_seconds 7"),
        (changed("position", "under", "fill oil"), "fill oil: position under"),
        (changed("tool", "socket-13", "torque motor/feet"), "torque motor/feet: tool socket-13"),
        (changed("tool", "hand", "fasten belt/tension"), "fasten belt/tension: tool hand"),
        (changed("last_step", None, "pulley/bolts", "gates"), "gate pulley/bolts: last_step None"),
        (changed("last_step", 5, "motor/feet", "gates"), "gate motor/feet: last_step 5"),
        (changed("step", 3, "motor/feet", "gates"), "gate motor/feet: step 3"),
        (changed("waits_for", [], "pulley/bolts", "gates"), "gate pulley/bolts: waits_for []"),
        (changed("closes_off", ["motor/feet"], "fit belt"), "fit belt: closes_off"),
        (changed("gates", [], among=None), "gates []"),
        (changed("seconds", 1000, among="totals"), "totals: seconds 1000"),
        (changed("tool_changes", 0, among="totals"), "totals: tool_changes 0"),
        (changed("reach_arounds", 9, among="totals"), "totals: reach_arounds 9"),
        (changed("bound_seconds", 10**6, among=None), "bound_seconds 1000000"),
        (changed("bound_seconds", 1, among=None), "bound_seconds 1 "),
        (changed("targets", ["belt off"], among=None), "targets"),
    ],
)
def test_a_wrong_figure_or_gate_is_caught(job, damage, fault):
    found = faults_of(job, damage)
    assert any(one.startswith(fault) for one in found), found


def test_a_teardown_that_falls_short_is_caught(job):
    way_in, way_back = copy.deepcopy(job)
    way_in["steps"] = [step for step in way_in["steps"] if step["op"] != "remove pulley"]
    assert "the teardown lacks remove pulley" in check_refit(PAGE, BOTH, way_in, way_back)


@pytest.mark.parametrize("module", ["refit_state", "refit_checker"])
def test_the_second_reading_imports_nothing_of_the_program(module):
    tree = ast.parse((Path(__file__).parents[1] / "support" / f"{module}.py").read_text("utf-8"))
    found = [node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
    found += [alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names]
    assert found
    assert not [name for name in found if name.split(".")[0] == "sequencer"]
