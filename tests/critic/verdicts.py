"""Verdicts stand in the files themselves: ``# ! code`` at the line where the critic should find it."""

import re

from sequencer.critic import Code, findings
from sequencer.critic.whole import job_of
from sequencer.machine.reading import read_text

_MARK = re.compile(r"# ! ([a-z-]+(?:, [a-z-]+)*)")


def expected(text):
    """The right verdict: pairs of line and code."""
    pairs = set()
    for line, words in enumerate(text.splitlines(), start=1):
        if mark := _MARK.search(words):
            pairs |= {(line, Code(code).value) for code in mark[1].split(", ")}
    return pairs


def found(text, name="machine.yaml", *, order=True):
    """What the critic finds: pairs of line and code; with ``order`` in an order for the whole, too."""
    reading = read_text(text, name)
    assert reading.machine is not None, [str(fault) for fault in reading.faults]
    plans = job_of(reading.machine) if order else (None, None)
    return {(one.place.line, one.code.value) for one in findings(reading.machine, *plans)}
