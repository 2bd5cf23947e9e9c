"""An operation's name as a value."""

import pickle
from pathlib import Path

import pytest

from sequencer.graph import derive
from sequencer.graph.operations import Kind, Op, subjects
from sequencer.machine import read_text

VAN = Path(__file__).parents[2] / "models" / "delivery-van.yaml"


@pytest.mark.parametrize("kind", list(Kind))
def test_what_makes_a_name_reads_it_again(kind):
    """Kind, part and joint come back out of the text, as a journal holds it."""
    made = kind.of("pulley", "bolts")
    read = Op(str(made))
    assert made == f"{kind.value} pulley/bolts"
    assert (read.kind, read.subject, read.part, read.joint) == (kind, "pulley/bolts", "pulley", "bolts")
    assert kind.of("pulley/bolts") == made
    assert pickle.loads(pickle.dumps(made)) == made


def test_a_second_draining_has_the_same_subject():
    """``again`` belongs to the act, not to the fluid."""
    first, second = Kind.DRAIN.of("oil"), Kind.DRAIN.of("oil", again=True)
    assert (first.subject, second.subject, first.again, second.again) == ("oil", "oil", False, True)
    assert first != second


def test_a_word_of_a_newer_version_is_no_kind():
    """It is kept as it is, and nothing is taken for it."""
    assert Op("polish cover").kind is None
    assert Op("").part == ""


def test_only_a_torque_and_a_plug_are_gates():
    """The joint that gets its torque, by path."""
    gates = {kind: kind.of("sump").gate for kind in Kind}
    assert {kind: gate for kind, gate in gates.items() if gate} == {
        Kind.TORQUE: "sump",
        Kind.CLOSE: "sump/plug",
    }


def test_every_operation_of_a_machine_is_its_own_name():
    """The graph's operations and their names say the same."""
    graph = derive(read_text(VAN.read_text(encoding="utf-8"), "van.yaml").machine)
    for name, operation in graph.operations.items():
        op = Op(name)
        assert (op.kind, op.subject, op.again) == (operation.kind, operation.subject, operation.again)
        if operation.part is not None:
            assert (op.part, op.joint) == (operation.part, operation.joint or "")
    assert subjects(graph.operations, Kind.REMOVE) <= set(graph.machine.parts)
