"""The door for scripts: loaded only when used, every argument checked, the same answers as the commands."""

import ast
import json
import shutil
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import pytest

import sequencer
from sequencer.graph.targets import Target
from sequencer.machine.model import State
from tests.support.profile import before_landing
from tests.support.shell import sequencer as command

ROOT = Path(__file__).resolve().parent.parent
PUMP = ROOT / "examples" / "bench-pump.yaml"


@pytest.fixture(scope="module")
def pump():
    return sequencer.read_machine(PUMP)


def in_a_fresh_python(code):
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    return done.stdout.split()


def test_importing_the_package_loads_nothing_of_it():
    code = "import sys, sequencer; print(*(n for n in sys.modules if n.startswith('sequencer.')))"
    assert in_a_fresh_python(code) == ["sequencer.version"]


@before_landing
def test_reading_a_machine_loads_nothing_that_plans_or_draws():
    heavy = "ortools numpy graphviz rich sqlalchemy fastapi typer PIL"
    code = (
        f"import sys, sequencer; sequencer.read_machine({str(PUMP)!r})\n"
        f"print(*(n for n in {heavy!r}.split() if n in sys.modules))"
    )
    assert in_a_fresh_python(code) == []


def test_every_name_is_there_and_listed_and_no_other():
    assert set(sequencer.__all__) <= set(dir(sequencer))
    assert all(getattr(sequencer, name) for name in sequencer.__all__)
    with pytest.raises(AttributeError, match="no attribute 'plan_everything'"):
        sequencer.plan_everything  # noqa: B018


def test_the_package_names_its_rooms_for_type_checkers_only():
    tree = ast.parse(Path(sequencer.__file__).read_text(encoding="utf-8"))
    named = [ast.unparse(one) for one in tree.body if isinstance(one, ast.ImportFrom)]
    assert [one for one in named if "sequencer" in one] == ["from sequencer.version import __version__"]


def test_defaults_are_keyword_only():
    import inspect

    for name in sequencer.__all__:
        if not inspect.isfunction(found := getattr(sequencer, name)) or name == "open_job":
            continue
        for one in inspect.signature(found).parameters.values():
            assert (one.default is one.empty) == (one.kind is one.POSITIONAL_OR_KEYWORD), (name, one)


@pytest.mark.parametrize(("options", "said"), [
    ({}, "no part is named; give off='PART', reach='PART' or job='NAME'"),
    ({"off": []}, "no part is named; give off='PART', reach='PART' or job='NAME'"),
    ({"off": "sael"}, f"off sael: {PUMP} has no part 'sael'; did you mean seal?"),
    ({"off": "motor=upside-down"},
     "off motor=upside-down: there is no state 'upside-down'; a part can be loose, aside, off"),
    ({"reach": "cover/blot"}, "reach cover/blot: cover has no joint 'blot'; did you mean bolts?"),
    ({"off": Target("sael")}, f"off sael: {PUMP} has no part 'sael'; did you mean seal?"),
    ({"off": "seal", "prefer": "speed"},
     "prefer is not 'speed'; it is one of time, tool-changes, reach-arounds"),
    ({"off": "seal", "gap": 25}, "gap is 25; it is from 0 to 1"),
    ({"off": "seal", "gap": float("nan")}, "gap is nan; it is from 0 to 1"),
    ({"off": "seal", "time_limit": -1}, "time_limit is -1; it is 0 or more"),
    ({"off": "seal", "time_limit": float("inf")}, "time_limit is inf; it is 0 or more"),
])  # fmt: skip
def test_a_value_that_says_nothing_sensible_is_told(pump, options, said):
    with pytest.raises(sequencer.ArgumentError) as told:
        sequencer.plan_removal(pump, **options)
    assert str(told.value) == said
    assert isinstance(told.value, sequencer.SequencerError)
    assert isinstance(told.value, ValueError)


A_MACHINE = object()


@pytest.mark.parametrize(("name", "given", "options", "said"), [
    ("read_machine", [3], {}, "file is a path, not int 3"),
    ("plan_removal", ["pump.yaml"], {"off": "seal"}, "machine is a Machine from read_machine"),
    ("plan_removal", [A_MACHINE], {"off": 3}, "off is one or a list"),
    ("plan_removal", [A_MACHINE], {"off": [3]}, "off names parts, not int 3"),
    ("plan_removal", [A_MACHINE], {"off": {"seal": 1}}, "off is one or a list"),
    ("plan_removal", [A_MACHINE], {"off": "seal", "gap": "0.1"}, "gap is a number, not str '0.1'"),
    ("plan_removal", [A_MACHINE], {"off": "seal", "gap": True}, "gap is a number, not bool True"),
    ("plan_removal", [A_MACHINE], {"off": "seal", "watch": 1}, "watch is called"),
    ("plan_removal", [A_MACHINE, "seal"], {}, "positional argument"),
    ("plan_refit", [A_MACHINE], {}, "removal is a plan from plan_removal"),
    ("as_data", [A_MACHINE], {}, "plan is a plan from"),
    ("in_sittings", [A_MACHINE, 90], {}, "plan is a plan from"),
    ("begin_job", ["job", A_MACHINE], {}, "removal is a plan from plan_removal"),
    ("open_job", [3], {}, "folder is a path, not int 3"),
    ("find_blockers", [A_MACHINE], {"off": "seal", "without": 3}, "without is one or a list"),
])  # fmt: skip
def test_a_wrong_type_is_told_before_anything_is_done(pump, name, given, options, said):
    with pytest.raises(TypeError) as told:
        getattr(sequencer, name)(*(pump if one is A_MACHINE else one for one in given), **options)
    assert said in str(told.value)


def test_a_file_with_faults_is_told_with_all_of_them():
    with pytest.raises(sequencer.MachineFileError) as told:
        sequencer.read_machine(ROOT / "examples" / "guide" / "faulty.yaml")
    assert len(told.value.faults) == 3


def test_one_part_several_and_targets_are_the_same(pump):
    one = sequencer.plan_removal(pump, off="motor=loose", reach="cover/bolts")
    same = sequencer.plan_removal(
        pump, off=[Target("motor", State.LOOSE)], reach=(n for n in ["cover/bolts"])
    )
    other = sequencer.plan_removal(pump, off=one.targets)
    assert one == same == other


def test_a_watch_is_told_of_the_search(pump):
    told = []
    found = sequencer.plan_removal(pump, off="seal", watch=lambda best, bound: told.append((best, bound)))
    assert told[-1] == (found.totals.seconds, found.totals.seconds)
    assert all(isinstance(best, Fraction) for best, _ in told)


def test_a_script_and_a_command_give_the_same_plans(pump, monkeypatch):
    way_in = sequencer.plan_removal(pump, off="guard", prefer="tool-changes")
    words = [str(PUMP), "--off", "guard", "--prefer", "tool-changes", "--json"]
    for name, plan in (("plan", way_in), ("refit", sequencer.plan_refit(way_in))):
        code, out, _ = command(["sequencer", name, *words], monkeypatch)
        assert (code, json.loads(out)) == (0, json.loads(json.dumps(sequencer.as_data(plan))))


@before_landing
def test_a_script_and_a_command_give_the_same_sittings(pump, monkeypatch):
    told = sequencer.in_sittings(sequencer.plan_removal(pump, off="seal"), [25, 40], chance=0.7)
    words = [
        str(PUMP),
        "--off",
        "seal",
        "--sitting",
        "25min",
        "--sitting",
        "40 min",
        "--chance",
        "0.7",
        "--json",
    ]
    code, out, _ = command(["sequencer", "plan", *words], monkeypatch)
    assert (code, json.loads(out)) == (0, json.loads(json.dumps(sequencer.as_data(told))))
    assert [one["last"] + 1 for one in json.loads(out)["sittings"][:-1]] == sorted(told.plan.breaks)
    with pytest.raises(sequencer.SequencerError, match="leaves no time to work"):
        sequencer.in_sittings(told.plan, 9)
    with pytest.raises(sequencer.ArgumentError):
        sequencer.in_sittings(told.plan, 0)


def test_the_graph_is_the_whole_machine_or_what_a_job_could_need(pump):
    whole = sequencer.operations_graph(pump)
    job = sequencer.operations_graph(pump, off="guard")
    assert set(job) < set(whole)
    assert whole.nodes["remove guard"]["operation"].part == "guard"


def test_a_job_is_begun_and_opened_by_script_and_by_command(pump, tmp_path, monkeypatch):
    shutil.copy(PUMP, tmp_path / "pump.yaml")
    own = sequencer.read_machine(tmp_path / "pump.yaml")
    plan = sequencer.plan_removal(own, off=["guard", "motor=loose"], reach="cover")
    with sequencer.begin_job(tmp_path / "job", plan, people=["Ann"], sittings=[90], device="laptop") as job:
        card = job.folder.card
        assert (card.off, card.reach, card.sittings) == (("guard", "motor=loose"), ("cover",), (90,))
        job.done("1")
    code, _, said = command(["sequencer", "done", "2", "--job", str(tmp_path / "job")], monkeypatch)
    assert (code, said) == (0, "")
    with sequencer.open_job(tmp_path / "job", device="phone") as job:
        job.done("3")
        assert len(job.moment().state.ticks) == 3
        devices = [one.event.device for one in job.log()]
        assert (devices[0], devices[-1]) == ("laptop", "phone")
        assert {one.event.person for one in job.log()} == {"Ann"}


def test_a_price_of_what_the_job_is_for_is_refused(pump):
    with pytest.raises(sequencer.SequencerError, match="it has to move"):
        sequencer.find_blockers(pump, off="seal", without="seal")


@pytest.mark.parametrize("name", ["circle", "faulty"])
def test_a_check_finds_what_the_command_says(name, monkeypatch):
    file = f"examples/guide/{name}.yaml"
    found = [str(fault) for fault in sequencer.check_machine(file).faults]
    assert found
    _, _, said = command(["sequencer", "check", file], monkeypatch)
    assert said.splitlines()[: len(found)] == found
