"""Verdicts stand in the files themselves: ``# ! code`` at the line where the critic should find it."""

import re

from sequencer.critic import Code, findings
from sequencer.critic.taken_for import is_a
from sequencer.critic.whole_order import job_of
from sequencer.machine.reading import read_text

_MARK = re.compile(r"# ! ([a-z-]+(?:, [a-z-]+)*)")


def expected(text):
    """The right verdict: pairs of line and code."""
    pairs = set()
    for line, words in enumerate(text.splitlines(), start=1):
        if mark := _MARK.search(words):
            pairs |= {(line, Code(code).value) for code in mark[1].split(", ")}
    return pairs


def found(text, name="machine.yaml"):
    """What the critic finds in a file, and in an order for the whole of it: pairs of line and code."""
    reading = read_text(text, name)
    assert reading.machine is not None, [str(fault) for fault in reading.faults]
    plans = job_of(reading.machine) if _asks_for_an_order(reading.machine) else (None, None)
    return {(one.place.line, one.code.value) for one in findings(reading.machine, *plans)}


def _asks_for_an_order(machine):
    """Whether an order can show anything: good practice leaves only poses, and beads, to be read in one."""
    joints = (joint for part in machine.parts.values() for joint in part.joints.values())
    sealed = any(thing.sealing for thing in (*machine.parts.values(), *joints))
    return sealed or any(is_a("pose", at.name, at.label) for at in machine.positions.values())
