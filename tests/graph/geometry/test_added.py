"""Which of the hidden relations are written: against deriving the machine anew for each."""

import random

from sequencer.graph.derive import derive
from sequencer.graph.geometry import scan
from sequencer.graph.geometry.added import to_write, with_need
from sequencer.graph.geometry.against_file import operation_of
from sequencer.graph.operations import Kind
from sequencer.graph.reach import possible
from sequencer.machine import read_text
from tests.support.profile import before_landing, counts


def cluttered(number, parts):
    """Boxes by chance in a narrow room, each with a bolt, some of them movable: invented."""
    rng = random.Random(number)
    lines = ["machine: m", "parts:"]
    for name in range(parts):
        x, y, z = (rng.randrange(0, 200, 10) for _ in range(3))
        a, b, c = (rng.randrange(20, 90, 10) for _ in range(3))
        bolt = f"kind: bolt, head: 13, at: [{x}, {y}, {z + c}], axis: +z, reach: 60, draw: 30"
        lines += [
            f"  p{name}:",
            f"    box: {{at: [{x}, {y}, {z}], size: [{a}, {b}, {c}]}}",
            f"    out: {rng.choice(['+z', '[+z, -y]', '+x'])}",
            f"    joints: {{b: {{{bolt}}}}}",
        ]
        if rng.random() < 0.4:
            lines.append(f"    aside: {{by: [{rng.choice([-200, 200])}, 0, 0]}}")
    return read_text("\n".join(lines), f"{number}.yaml").machine


def anew(found):
    """The same, by the letter: each relation put into the machine, and that derived."""
    machine, graph = found.machine, derive(found.machine)
    wanted, refused = [], []

    def off(graph):
        return {name for name in possible(graph.needs) if graph.operations[name].kind is Kind.REMOVE}

    for seen in sorted(found.hidden, key=lambda one: one.joint is None):
        clearing = {name for atom in seen.any_of for name in graph.clearing(atom)}
        left = {name: clauses for name, clauses in graph.needs.items() if name not in clearing}
        if operation_of(seen) not in possible(left):
            continue
        tried = with_need(machine, seen)
        again = derive(tried)
        if off(graph) - off(again):
            refused.append(seen)
        else:
            machine, graph = tried, again
            wanted.append(seen)
    return tuple(wanted), tuple(refused)


@before_landing
def test_what_is_written_is_what_deriving_the_machine_anew_for_each_finds():
    written = barred = 0
    for number in range(counts(quick=6, landing=15, nightly=300)):
        found = scan(cluttered(number, 8 + number % 8))
        told = to_write(found)
        assert told == anew(found)
        written, barred = written + len(told[0]), barred + len(told[1])
    assert written > counts(quick=20, landing=25, nightly=50)
    assert barred > counts(quick=0, landing=5, nightly=5)
