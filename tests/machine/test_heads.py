"""The tool that a head asks for."""

import pytest

from sequencer.machine.heads import no_tool, tool_for
from sequencer.machine.model import Tool


@pytest.mark.parametrize(
    ("head", "tool"),
    [
        ("10", Tool("socket-10", "10 mm socket", "ratchet")),
        ("10 mm", Tool("socket-10", "10 mm socket", "ratchet")),
        ("10mm", Tool("socket-10", "10 mm socket", "ratchet")),
        ("10.0", Tool("socket-10", "10 mm socket", "ratchet")),
        ("5.5", Tool("socket-5.5", "5.5 mm socket", "ratchet")),
        ("1/2 in", Tool("socket-1/2in", "1/2 in socket", "ratchet")),
        ('7/16"', Tool("socket-7/16in", "7/16 in socket", "ratchet")),
        ("4/8 in", Tool("socket-1/2in", "1/2 in socket", "ratchet")),
        ("1 1/8 in", Tool("socket-1-1/8in", "1-1/8 in socket", "ratchet")),
        ("T25", Tool("T-25", "T25 bit", "ratchet")),
        ("t 25", Tool("T-25", "T25 bit", "ratchet")),
        ("E10", Tool("E-10", "E10 socket", "ratchet")),
        ("allen 6", Tool("allen-6", "6 mm hex bit", "ratchet")),
        ("Allen 6 mm", Tool("allen-6", "6 mm hex bit", "ratchet")),
        ("allen 1/4 in", Tool("allen-1/4in", "1/4 in hex bit", "ratchet")),
        ("PH2", Tool("PH-2", "PH2 screwdriver", "screwdriver")),
        ("PZ 2", Tool("PZ-2", "PZ2 screwdriver", "screwdriver")),
        ("slot", Tool("slot", "flat screwdriver", "screwdriver")),
        ("12pt 10", Tool("bihex-10", "10 mm 12-point socket", "ratchet")),
        ("hand", Tool("hand", "by hand", None)),
    ],
)
def test_a_head_asks_for_its_tool(head, tool):
    assert tool_for(head) == tool


def test_a_kind_that_a_socket_can_not_go_over_asks_for_a_spanner():
    assert tool_for("17", spanner=True) == Tool("spanner-17", "17 mm flare-nut spanner", None)
    assert tool_for("T25", spanner=True) == tool_for("T25")


@pytest.mark.parametrize(
    "head", ["", "0", "200", "T26", "E9", "PH9", "1/0 in", "M8", "hex 6", "ten", "1" * 50, "-10"]
)
def test_no_tool_fits_a_head_that_is_not_made(head):
    assert tool_for(head) is None
    problem, remedy = no_tool(head)
    assert "head" in problem
    assert remedy


def test_the_nearest_sizes_that_are_made_are_named():
    assert no_tool("E9")[1] == "the nearest that are made are E7, E8, E10"
