"""What was found is said alike on the terminal, as JSON and to scripts, and every code is explained."""

import json
import re
from pathlib import Path
from string import Formatter

import pytest

from sequencer import find_oddities, read_machine
from sequencer.critic import Code
from sequencer.critic.registry import RULES
from sequencer.critic.taken_for import sort, sorts
from sequencer.document.plans.critic import words
from sequencer.machine.reading import read_text
from tests.support.shell import sequencer

ROOT = Path(__file__).resolve().parents[2]
MOWER = ROOT / "examples" / "guide" / "mower.yaml"
PAGE = (ROOT / "examples" / "guide" / "critic.md").read_text(encoding="utf-8")


@pytest.fixture
def command(monkeypatch):
    monkeypatch.setenv("COLUMNS", "100")
    return lambda *words: sequencer(["sequencer", *words], monkeypatch)


def test_every_code_has_words_and_stands_on_the_page():
    assert set(words()) == {code.value for code in Code}
    assert {code.value for code in Code if f"`{code.value}`" not in PAGE} == set()


def test_a_line_says_what_is_odd_and_what_to_write():
    for said in words().values():
        assert set(said) == {"odd", "mend"}
        assert not re.search(r"[.;]$", said["odd"] + said["mend"])
        list(Formatter().parse(said["odd"] + said["mend"]))


def test_every_sort_can_be_read():
    assert all(sort(name) for name in sorts())


def test_every_rule_is_in_the_register_once():
    assert len(set(RULES.values())) == len(RULES)


def test_terminal_json_and_door_say_the_same(command):
    code, told, _ = command("check", "--plan", str(MOWER), "--off", "blade")
    assert code == 0
    found = find_oddities(read_machine(MOWER), off="blade")
    data = json.loads(command("check", "--plan", str(MOWER), "--off", "blade", "--json")[1])
    assert [(one.code.value, one.odd, one.mend, one.place.line) for one in found] == [
        (one["code"], one["says"], one["mend"], one["place"]["line"]) for one in data["oddities"]
    ]
    flat = " ".join(told.split())
    for one in found:
        assert f"{one.place}: {one.odd}; {one.mend} [{one.code.value}]" in flat


@pytest.mark.parametrize("option", [["--off", "blade"], ["--json"], ["--reach", "blade"]])
def test_options_of_the_critic_alone_are_refused(option, command):
    code, _, told = command("check", str(MOWER), *option)
    assert code == 2
    assert f"{option[0]} goes with --plan; write --plan as well" in told


def test_a_file_with_faults_is_not_criticised(command):
    code, said, told = command("check", "--plan", str(ROOT / "examples/guide/faulty.yaml"))
    assert (code, said) == (2, "")
    assert "3 faults" in told


def test_a_file_with_nothing_odd_says_so(tmp_path, command):
    plain = tmp_path / "box.yaml"
    plain.write_text("machine: Box\nparts: {lid: {joints: {screws: {kind: screw, head: T25, count: 4}}}}\n")
    code, said, _ = command("check", "--plan", str(plain))
    assert (code, said.strip()) == (
        0,
        "Nothing odd. Looked at: the file and an order for all of it, apart and together.",
    )


def test_a_machine_that_never_comes_apart_is_read_all_the_same(tmp_path, command):
    shut = tmp_path / "shut.yaml"
    shut.write_text("machine: Shut\nparts:\n  a: {behind: [b]}\n  b: {behind: [a]}\n")
    code, said, _ = command("check", "--plan", str(shut))
    assert code == 0
    assert "no order of work" in " ".join(said.split())


def test_a_bead_that_sets_too_soon_leaves_the_way_in_to_be_read(tmp_path, command):
    box = tmp_path / "box.yaml"
    bead = "sealant: {kind: rtv, assemble_within: 1 min}"
    joints = "joints: {bolts: {kind: bolt, head: 10, count: 30}}"
    box.write_text(f"machine: Box\nparts:\n  lid:\n    {bead}\n    {joints}\n")
    code, said, _ = command("check", "--plan", str(box))
    assert code == 0
    assert "there is no way back" in " ".join(said.split())


def test_what_is_written_once_for_two_sides_is_odd_once():
    text = """
machine: Engine, vee
repeat: {side: {left: {}, right: {}}}
parts:
  exhaust-<side>: {label: Exhaust manifold, joints: {nuts: {kind: nut, head: 13, count: 4}}}
"""
    machine = read_text(text, "vee.yaml").machine
    (told,) = find_oddities(machine)
    assert (told.code.value, told.place.line, told.place.within) == ("no-renewal", 5, "")
