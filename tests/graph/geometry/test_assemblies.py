"""The library's assemblies that have boxes: what these show is what is written, in each by itself."""

from pathlib import Path

import pytest

from sequencer.graph.geometry import scan
from sequencer.machine.assembly.alone import alone
from sequencer.machine.assembly.shelf import library
from tests.support.profile import counts

BOXED = sorted(path.stem for path in library().glob("*.yaml") if "\nframe:" in path.read_text("utf-8"))
SEEN = {"bearing-shaft": 4, "clutch-joint": 12, "drum-brake": 7, "wheel-end": 12}
"""How many of its relations the boxes show."""
NOT_FOR_ROOM = {"wheel-end": [("carrier", "behind")]}
"""The pads slide in its slots, which rough boxes lack."""


def test_the_boxed_ones_are_known_here():
    assert sorted(SEEN) == BOXED


@pytest.mark.parametrize("name", counts(quick=["bearing-shaft", "wheel-end"], landing=BOXED, nightly=BOXED))
def test_the_scan_agrees_with_the_file(name):
    found = scan(alone(Path(name)).machine)
    assert [one.part for one in found.hidden] == []
    assert (found.inside, found.shut) == ((), ())
    assert [(one.holder, one.key) for one in found.doubts] == NOT_FOR_ROOM.get(name, [])
    assert len(found.agreed) >= SEEN[name]
