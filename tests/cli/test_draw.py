"""The picture: drawn without any installed Graphviz, well formed, with every part of the plan in it."""

import json
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from sequencer.graph.said import part_words
from sequencer.machine.reading import load
from tests.support.profile import before_landing

PUMP = "examples/bench-pump.yaml"
SVG = "{http://www.w3.org/2000/svg}"
A4_LANDSCAPE = (842, 595)
"""Points."""


@pytest.fixture(autouse=True)
def no_dot(monkeypatch):
    """Nothing on the PATH: only what pip brought along can draw."""
    monkeypatch.setenv("PATH", "/nonexistent")


def words_of(path):
    root = ET.parse(path).getroot()
    return " ".join(text for e in root.iter(f"{SVG}text") if (text := "".join(e.itertext()).strip("\xa0 ")))


def drawn(sequencer, tmp_path, *arguments):
    path = tmp_path / "picture.svg"
    ran = sequencer("draw", PUMP, *arguments, "-o", path)
    assert (ran.code, ran.err) == (0, "")
    return ran, words_of(path)


def test_every_part_and_step_of_the_plan_is_in_the_picture(sequencer, tmp_path):
    _, words = drawn(sequencer, tmp_path, "--off", "seal")
    plan = json.loads(sequencer("plan", PUMP, "--off", "seal", "--json").out)
    machine = load(Path(PUMP))
    for step in plan["steps"]:
        assert re.search(rf"\b[cs]?{step['number']}\b", words), step["op"]
        if step["part"]:
            assert part_words(machine, step["part"]) in words
    for position in plan["positions"].values():
        assert position in words


def test_the_picture_fits_a_sheet(sequencer, tmp_path):
    drawn(sequencer, tmp_path, "--off", "seal")
    root = ET.parse(tmp_path / "picture.svg").getroot()
    width, height = (float(root.get(side).removesuffix("pt")) for side in ("width", "height"))
    assert width <= A4_LANDSCAPE[0]
    assert height <= A4_LANDSCAPE[1]


def test_why_draws_only_the_chain_and_says_it(sequencer, tmp_path):
    ran, words = drawn(sequencer, tmp_path, "--off", "seal", "--why", "motor")
    assert all(label in words for label in ("Motor", "Bracket", "Pump cover", "Impeller", "Shaft seal"))
    assert not any(label in words for label in ("Drive belt", "Pump pulley", "Outlet pipe", "Inlet hose"))
    assert "waits for: Ease Motor loose, since motor has to be loose" in ran.out
    assert re.search(r"\(examples/bench-pump\.yaml:\d+\)", ran.out)


def test_the_whole_machine_is_drawn_without_a_job(sequencer, tmp_path):
    _, words = drawn(sequencer, tmp_path)
    machine = load(Path(PUMP))
    assert all(part_words(machine, part) in words for part in machine.parts)
    assert "step of the plan" not in words


def test_the_ribbon_has_each_station_of_its_way_and_the_gates_of_the_way_back(sequencer, tmp_path):
    for ways, verb, letter in (((), "plan", "A"), (("--refit",), "refit", "B")):
        _, words = drawn(sequencer, tmp_path, "--off", "seal", "--plan", *ways)
        told = json.loads(sequencer(verb, PUMP, "--off", "seal", "--json").out)
        codes = [f"{letter}{station['steps'][-1]}" for station in told["stations"]]
        assert re.findall(rf"\b{letter}\d+\b", words) == codes
        gates = [int(n) for run in re.findall(r"gate at (\d+(?:, \d+)*)", words) for n in run.split(", ")]
        assert gates == sorted(gate["step"] for gate in told.get("gates", ()))
        assert bool(gates) is bool(ways)


def test_what_the_ribbon_can_not_be_is_refused(sequencer, tmp_path):
    dot = tmp_path / "plan.dot"
    for asked, said in (
        (("--off", "seal"), "the ribbon of a plan has no text as DOT; write it as svg, png or pdf"),
        (("--off", "seal", "--why", "motor"), "--plan draws a whole way; leave out --why and --only"),
        ((), "--plan asks about a job; add --off PART"),
    ):
        ran = sequencer("draw", PUMP, *asked, "--plan", "-o", dot)
        assert (ran.code, ran.out, dot.exists()) == (2, "", False)
        assert said in ran.err


@before_landing
def test_a_plan_that_is_not_proven_says_so_in_the_picture(sequencer, tmp_path):
    _, words = drawn(sequencer, tmp_path, "--off", "seal", "--gap", "1")
    proven = json.loads(sequencer("plan", PUMP, "--off", "seal", "--gap", "1", "--json").out)["proven"]
    assert ("best found, not proven" in words) is not proven


@before_landing
def test_png_and_dot_are_what_they_are_called(sequencer, tmp_path):
    assert sequencer("draw", PUMP, "--off", "seal", "-o", tmp_path / "plan.png").code == 0
    assert (tmp_path / "plan.png").read_bytes().startswith(b"\x89PNG\r\n\x1a\n")
    assert sequencer("draw", PUMP, "--off", "seal", "-o", tmp_path / "plan.DOT").code == 0
    assert (tmp_path / "plan.DOT").read_text(encoding="utf-8").startswith("digraph machine {")


def test_a_drawing_program_that_fails_is_said_and_leaves_no_file(sequencer, tmp_path, monkeypatch):
    fake = tmp_path / "bin" / "dot"
    fake.parent.mkdir()
    fake.write_text("#!/bin/sh\necho 'no fonts here' >&2\nexit 1\n")
    fake.chmod(0o755)
    monkeypatch.setenv("PATH", f"{fake.parent}:/usr/bin:/bin")
    ran = sequencer("draw", PUMP, "--off", "seal", "--refit", "-o", tmp_path / "plan.svg")
    assert (ran.code, ran.out) == (2, "")
    assert (
        "the drawing program failed: no fonts here; write the diagram as text instead: -o plan.dot" in ran.err
    )
    assert not (tmp_path / "plan.svg").exists()


def test_the_guides_picture_is_what_the_program_draws(sequencer, tmp_path):
    drawn(sequencer, tmp_path, "--off", "seal")
    assert words_of(Path("examples/guide/bench-pump.svg")) == words_of(tmp_path / "picture.svg")


def test_the_readmes_picture_is_of_the_van_as_it_is():
    """Its first page: the head, all that it waits for by itself, and what stands on the other pages."""
    root = Path(__file__).resolve().parents[2]
    words = words_of(root / "examples/guide/van-head.svg")
    machine = load(root / "models/delivery-van.yaml")
    assert words.startswith(f"{machine.name}: Cylinder head off, page 1 of ")
    head = machine.parts["head"]
    for need in head.all_waits:
        if len(need.any_of) == 1:
            assert part_words(machine, need.any_of[0].part)[:16] in words
    assert "trapped by one of 2:" in words
