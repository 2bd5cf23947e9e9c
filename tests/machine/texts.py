"""Machine files for the tests of the reader, and a short way to their faults."""

from pathlib import Path

from sequencer.machine import Machine, read_text

PAGE = Path(__file__).parent / "page.yaml"  # the sample of the format page, word for word

SMALL = """\
machine: Small machine
positions: {bench: {}, under: {}}
tools: {long-bar: {drive: none}}
fluids: {oil: {}}
tasks: {prop: {}}
parts:
  guard: {joints: {screws: {kind: screw, head: T25}}}
  motor:
    joints: {feet: {kind: nut, head: 13}, plug: {kind: connector}}
    loose: {joints: [feet]}
"""
SMALL_LINES = SMALL.count("\n")


def faults(text: str) -> list[str]:
    """The faults of a whole text, each from its line on."""
    return [str(fault).removeprefix("f.yaml:") for fault in read_text(text, "f.yaml").faults]


def faults_of_part(*lines: str) -> list[str]:
    """The faults of `SMALL` with more parts; line 1 is the first of those given."""
    found = []
    for fault in read_text(SMALL + "\n".join(f"  {line}" for line in lines) + "\n", "f.yaml").faults:
        column = fault.place.column - 2
        mark = "warning: " if fault.severity == "warning" else ""
        found.append(f"{fault.place.line - SMALL_LINES}:{column}: {mark}{fault.told}; {fault.remedy}")
    return found


def machine(text: str) -> Machine:
    """The machine of a text that has no faults at all."""
    reading = read_text(text, "f.yaml")
    assert [str(fault) for fault in reading.faults] == []
    assert reading.machine is not None
    return reading.machine


def joint(body: str):
    """A joint `x/a` with the given keys, on top of `SMALL`."""
    return machine(SMALL + f"  x: {{joints: {{a: {{{body}}}}}}}\n").parts["x"].joints["a"]
