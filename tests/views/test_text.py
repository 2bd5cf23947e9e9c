"""The text of plans, to the letter; DEVELOPERS.md says how it is written anew."""

import os
import re
from io import StringIO
from pathlib import Path

import pytest
from rich.console import Console

from sequencer.document.plans.plan import refit_document, teardown_document
from sequencer.graph.targets import parse_targets
from sequencer.machine.reading import load, read_text
from sequencer.plan.refit import plan_refit
from sequencer.plan.teardown import plan_teardown
from sequencer.render.terminal import show as render
from tests.support.profile import before_landing

ROOT = Path(__file__).resolve().parent.parent.parent
GOLDEN = Path(__file__).parent / "golden"
PUMP = ROOT / "examples" / "bench-pump.yaml"


def printed(show, plan, width=100, **more):
    stream = StringIO()
    render(show(plan, **more), Console(file=stream, width=width, highlight=False, markup=False, emoji=False))
    return stream.getvalue()


@pytest.fixture(scope="module")
def way_in():
    machine = load(PUMP)
    return plan_teardown(machine, parse_targets(machine, ["seal"]))


@pytest.fixture(scope="module")
def way_back(way_in):
    return plan_refit(way_in)


def job(text, *off):
    machine = read_text(text).machine
    found = plan_teardown(machine, parse_targets(machine, off))
    return found, plan_refit(found)


@before_landing
@pytest.mark.parametrize("width", [100, 60])
@pytest.mark.parametrize("which", ["plan", "refit"])
def test_the_text_is_what_it_was(which, width, way_in, way_back):
    text = (
        printed(teardown_document, way_in, width)
        if which == "plan"
        else printed(refit_document, way_back, width)
    )
    golden = GOLDEN / f"bench-pump-{which}-{width}.txt"
    if os.environ.get("UPDATE_GOLDEN"):
        golden.write_text(text, encoding="utf-8")
    assert text == golden.read_text(encoding="utf-8")


@pytest.mark.parametrize("width", [100, 60, 40])
def test_no_line_is_wider_than_the_screen_or_ends_in_blanks(width, way_in, way_back):
    for text in (printed(teardown_document, way_in, width), printed(refit_document, way_back, width)):
        assert [line for line in text.splitlines() if len(line) > width or line != line.rstrip()] == []


def test_every_step_is_printed_once_and_in_order(way_in, way_back):
    for plan, show in ((way_in, teardown_document), (way_back, refit_document)):
        numbers = re.findall(r"^ {1,3}(\d+)  \S", printed(show, plan), flags=re.MULTILINE)
        assert numbers == [str(step.number) for step in plan.steps]


def test_a_torque_is_shown_in_the_readers_unit_with_the_files_beside_it(way_back):
    assert "GATE  29.50 lbf.ft (40 N.m)" in printed(refit_document, way_back, unit="lbf.ft")
    assert "GATE  40 N.m (29.5 lbf.ft)" in printed(refit_document, way_back)


def test_every_gate_that_is_closed_off_is_named_where_that_happens(way_back):
    text = printed(refit_document, way_back)
    closed = [gate for gate in way_back.gates if gate.last_step]
    assert closed
    assert text.count("closes it off") == len(closed)
    assert text.count("you can no longer reach") == len({gate.last_step for gate in closed})


SEALED = """
machine: Sealed
fluids: {oil: {volume: 1 L}}
parts:
  cover:
    wet: [oil]
    sealant: {kind: rtv, cure: 2 h}
    joints:
      bolts: {kind: bolt, head: 10, count: 4, torque: 9 N.m, friction: oiled,
              at: [[0, 0], [80, 0], [0, 50], [80, 50]]}
"""


def test_a_sealant_says_how_far_to_go_on_and_what_waits_for_its_cure():
    text = printed(refit_document, job(SEALED, "cover")[1])
    assert "Cure     RTV silicone: 2 h before step" in text
    assert re.search(r"Seal cover\n +RTV silicone: go straight on to step 4", text)
    assert re.search(
        r"Fasten cover: bolts .*\n.*snug.*\n +RTV silicone cures from here: 2 h before step \d", text
    )


def test_an_order_worked_out_says_how_the_fasteners_are_numbered():
    text = printed(refit_document, job(SEALED, "cover")[1], width=200)
    assert "as numbered in the picture (generated; the maker's order comes first" in text
    assert "threads: oiled" in text


def test_a_usual_time_is_marked_and_explained_and_a_files_own_is_not():
    one = "machine: M\nparts:\n  lid: {{time: 5 s, joints: {{b: {{kind: bolt, head: 10{time}}}}}}}\n"
    usual = printed(teardown_document, job(one.format(time=""), "lid")[0])
    assert "10 mm socket   ~53 s" in usual
    assert "~ standard time, none in the file (1 of 2 steps)" in usual
    own = printed(teardown_document, job(one.format(time=", time: 20 s"), "lid")[0])
    assert "10 mm socket   28 s" in own
    assert "~" not in own


def test_notes_and_cautions_stand_at_the_first_step_that_they_are_about():
    text = """
machine: M
positions: {bench: {caution: Mind the edge.}}
parts:
  lid:
    note: Painted side up.
    caution: [Sharp., Hot.]
    joints: {b: {kind: clip, note: Twist it.}, c: {kind: clip}}
"""
    lines = printed(teardown_document, job(text, "lid")[0]).splitlines()
    bare = [line.strip() for line in lines]
    first = next(n for n, line in enumerate(bare) if line.startswith("1  "))
    before = ["! Mind the edge.", "! Sharp.", "! Hot.", "note: Painted side up.", "note: Twist it."]
    assert bare[first - 5 : first] == before
    assert sum("Sharp" in line for line in bare) == 1
    assert sum("Painted" in line for line in bare) == 1


def test_a_crack_says_what_holds_it_and_a_fluid_how_much():
    text = """
machine: M
fluids: {oil: {label: Gear oil, volume: 2 L}}
parts:
  belt: {label: Drive belt, joints: {t: {kind: tensioner, head: 15}}}
  disc: {trapped_by: [belt], wet: [oil], joints: {b: {kind: bolt, head: 10, crack: [belt]}}}
"""
    out = printed(teardown_document, job(text, "disc")[0])
    assert "Crack disc: b  (bolt, head 10, while Drive belt holds it)" in out
    assert "pan for Gear oil (2 L or more)" in out
    assert re.search(r"^ +\d+  Drain Gear oil, 2 L$", out, flags=re.MULTILINE)


def test_nothing_to_do_is_said():
    machine = read_text("machine: M\nparts: {lid: {joints: {b: {kind: clip}}}}\n").machine
    clear = plan_teardown(machine, parse_targets(machine, [], ["lid"]))
    assert "Nothing has to move" in printed(teardown_document, clear)
    assert "Nothing came off" in printed(refit_document, plan_refit(clear))


TIED = """
machine: M
parts:
  pump: {aside: {joints: [a]}, tie: Up to the rail with a cord., joints: {a: {kind: clip}, b: {kind: hose}}}
  tray: {behind: [{pump: aside}], joints: {c: {kind: clip}}}
"""


def test_a_part_that_is_moved_aside_is_told_where_it_is_tied():
    into, back = job(TIED, "tray")
    lines = [line.strip() for line in printed(teardown_document, into).splitlines()]
    move = next(n for n, line in enumerate(lines) if "Move aside pump" in line)
    assert lines[move + 1] == "tie it: Up to the rail with a cord."
    assert sum("tie it" in line for line in lines) == 1
    assert "tie it" not in printed(refit_document, back)
    off, _ = job(TIED, "pump")
    assert "tie it" not in printed(teardown_document, off)
