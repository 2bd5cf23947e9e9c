"""The program as a process: quick to start, quiet when its reader goes, at home in any terminal."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import get_args

import pytest

from sequencer.cli.shared.options import PreferWord
from sequencer.plan.order.prefer import Prefer
from tests.support.profile import before_landing, counts

ROOT = Path(__file__).resolve().parent.parent.parent
PUMP = "examples/bench-pump.yaml"
HEAVY = ("networkx", "pydantic", "ortools", "numpy", "rich", "ruamel", "pint", "graphviz")


def python(code, *arguments, **environment):
    return subprocess.run(
        [sys.executable, "-c", code, *arguments],
        cwd=ROOT,
        env={**os.environ, **environment},
        capture_output=True,
        check=False,
    )


RUN = "from sequencer.cli.app import main; main()"
IMPORTED = f"""
import sys
from sequencer.cli.app import main
commands = sys.argv[1:]
for command in commands:
    sys.argv[1:] = command.split()
    try:
        main()
    except SystemExit as end:
        assert not end.code
print("IMPORTED", *[name for name in {HEAVY} if name in sys.modules])
"""


def imported(*commands):
    """What is loaded after these commands, one after another in one process."""
    done = python(IMPORTED, *commands)
    assert done.returncode == 0, done.stderr
    return done.stdout.decode().splitlines()[-1].split()[1:]


@before_landing
def test_help_comes_without_loading_anything_heavy():
    assert imported("--help") == []


@before_landing
def test_the_help_of_a_command_loads_no_more_than_typer_does():
    # Typer looks for pydantic before it takes a command's options apart.
    commands = ("plan", "refit", "draw", "check", "schema", "torque")
    assert set(imported(*(f"{command} --help" for command in commands))) <= {"pydantic"}


def test_the_words_of_prefer_are_those_of_the_plan():
    assert get_args(PreferWord) == tuple(prefer.value for prefer in Prefer)


def test_check_loads_what_reads_a_file_and_nothing_that_solves():
    assert set(imported(f"check {PUMP}")) <= {"pydantic", "ruamel"}


@before_landing
def test_a_reader_who_goes_early_leaves_no_noise():
    command = f"set -o pipefail; '{sys.executable}' -c '{RUN}' plan {PUMP} --off seal | head -1"
    done = subprocess.run(["bash", "-c", command], cwd=ROOT, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, "Bench pump, belt driven\n", "")


EVERY = ["ascii", "latin-1", "utf-8"]


@pytest.mark.parametrize("encoding", counts(quick=[], landing=EVERY[:1], nightly=EVERY))
def test_a_plan_prints_in_any_encoding(encoding):
    done = python(RUN, "refit", PUMP, "--off", "seal", PYTHONIOENCODING=encoding)
    assert done.returncode == 0, done.stderr
    assert "Done: all that came off is back." in done.stdout.decode(encoding)


@before_landing
@pytest.mark.parametrize("encoding", counts(quick=(), landing=EVERY[::2], nightly=EVERY))
def test_json_is_whole_in_any_encoding(encoding, tmp_path):
    path = tmp_path / "m.yaml"
    path.write_text(
        "machine: Tür 🚗\nparts:\n  tür: {joints: {b: {kind: bolt, head: 13}}}\n", encoding="utf-8"
    )
    done = python(RUN, "plan", str(path), "--off", "tür", "--json", PYTHONIOENCODING=encoding, PYTHONUTF8="1")
    data = json.loads(done.stdout.decode(encoding))
    assert data["machine"] == "Tür 🚗"
    assert data["steps"][0]["op"] == "undo tür/b"


def test_a_narrow_screen_gets_narrow_lines(sequencer, monkeypatch):
    monkeypatch.setenv("COLUMNS", "60")
    lines = sequencer("plan", PUMP, "--off", "seal").out.splitlines()
    assert 40 < max(map(len, lines)) <= 60
    assert [line for line in lines if line != line.rstrip()] == []


@before_landing
def test_colour_only_stresses(sequencer):
    plain = sequencer("plan", PUMP, "--off", "seal").out
    coloured = python(RUN, "plan", PUMP, "--off", "seal", PYTHONIOENCODING="utf-8", FORCE_COLOR="1").stdout
    import re

    assert b"\x1b[" in coloured
    assert "\x1b[" not in plain
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured.decode()) == plain
