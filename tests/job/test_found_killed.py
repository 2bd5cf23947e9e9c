"""A program that is killed while it writes down a find: event and machine file never come apart for good."""

import random
import signal
import subprocess
import sys
import time

from sequencer.job.desk import Desk
from sequencer.job.journal.events import EventKind
from tests.job.conftest import ANN, begin_job
from tests.support.profile import before_landing, counts

KILLS = counts(quick=1, landing=2, nightly=6)
FIND = """
import sys
from datetime import date
from pathlib import Path
from sequencer.job.desk import By, Desk
from sequencer.job.changes.finds import Find
desk = Desk.open(Path(sys.argv[1]), By("Ann", "laptop"))
desk.moment()
print("ready", flush=True)
for number in range(100):
    find = Find(f"stay {sys.argv[2]} {number}", {"blocks": ("guard",)}, held=("bolt 10",))
    desk.found(find, date(2026, 11, 25))
    print(number, flush=True)
"""


@before_landing
def test_what_is_acknowledged_is_in_the_file_and_the_file_has_nothing_else(tmp_path):
    job = begin_job(tmp_path / "job")
    rng = random.Random(6)
    acknowledged = set()
    for kill in range(KILLS):
        words = [sys.executable, "-c", FIND, str(job.path), str(kill)]
        with subprocess.Popen(words, stdout=subprocess.PIPE, text=True) as process:
            assert process.stdout.readline() == "ready\n"
            first = process.stdout.readline() if kill % 2 == 0 else ""
            time.sleep(rng.uniform(0, 1))
            process.send_signal(signal.SIGKILL)
            acknowledged |= {f"stay-{kill}-{line.strip()}" for line in (first, *process.stdout) if line}
        desk = Desk(job, ANN)
        events = {
            edit[1][1]
            for one in desk.state().of(EventKind.FOUND)
            for edit in one.event.body["edits"]
            if edit[0] == "add"
        }
        in_file = {part for part in desk.moment().machine.parts if part.startswith("stay-")}
        planned = {step.operation.part for step in desk.plan().steps}
        desk.close()
        assert acknowledged <= events
        assert in_file == events
        assert events <= planned
    assert acknowledged
