"""What reading costs, and what importing the room does not."""

import subprocess
import sys

from sequencer.machine import read, read_text
from sequencer.machine.library import folder
from tests.support.measure import growth
from tests.support.profile import before_landing, counts
from tests.support.some import some


def chain(parts: int) -> str:
    """``parts`` parts with three joints each, every one behind the one before."""
    lines = [
        "machine: Many parts",
        "positions: {front: , under: }",
        "parts:",
        "  p0: {joints: {a: {kind: clip}}}",
    ]
    for number in range(1, parts):
        lines += [
            f"  p{number}:",
            f"    label: Part number {number}",
            f"    behind: [p{number - 1}]",
            "    weight: 2 kg",
            "    joints:",
            "      plug: {kind: connector, time: 10 s}",
            "      near: {kind: bolt, head: 10, count: 3, thread: M6, class: 8.8, each: 12 s, torque: 9 N.m}",
            "      far: {kind: bolt, head: 13, from: under, count: 2, thread: M8, class: 8.8, each: 20 s,",
            "            torque: {stages: [12 N.m, 24 N.m], pattern: cross, source: invented}}",
        ]
    return "\n".join(lines) + "\n"


@before_landing
def test_reading_grows_with_the_parts_and_not_with_their_square():
    reading = read_text(chain(parts := counts(quick=50, landing=50, nightly=100)))
    assert reading.machine is not None
    assert reading.faults == ()
    assert len(reading.machine.parts) == parts
    small, large = (chain(parts) for parts in counts(quick=(6, 48), landing=(12, 96), nightly=(12, 96)))
    assert growth(lambda: read_text(small), lambda: read_text(large)) < 8 * 3  # their square would be 64


@before_landing
def test_importing_the_room_loads_no_heavy_library():
    heavy = {"pydantic", "ruamel.yaml", "pint", "networkx"}
    code = f"import sys, sequencer.machine; print(sorted({heavy} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"


@before_landing
def test_shipped_machines_have_no_fault_and_no_warning():
    for path in some(sorted(folder().glob("*.yaml"))):
        assert [str(fault) for fault in read(path).faults] == []
