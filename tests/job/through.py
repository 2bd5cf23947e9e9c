"""A whole job at a desk, in and back: every step in its turn, every gate with its reading."""

from pathlib import Path

from sequencer.job.changes.begin import begin, copied
from sequencer.job.desk import By, Desk
from sequencer.job.reports.record import CLOSED, torque_record
from sequencer.plan import plan_teardown
from sequencer.plan.practice.rules import Practice
from tests.job.everything import words_for
from tests.plan.jobs import machine_of, own_targets

ANN = By("Ann", "a")


def begun(folder: Path, text: str, off: list[str], practice: Practice = Practice.NONE) -> Desk:
    """A desk at a job that has just begun."""
    file = folder / "machine.yaml"
    file.write_text(text, encoding="utf-8")
    machine = machine_of(text)
    plan = plan_teardown(machine, own_targets(machine, [("off", part) for part in off]), practice=practice)
    return Desk(begin(folder / "job", plan, copied(file), ANN, title="Job"), ANN)


def through(
    folder: Path, text: str, off: list[str], practice: Practice = Practice.NONE
) -> tuple[list[str], list[str]]:
    """What was ticked on the way in and on the way back; nothing may be left, and no gate open."""
    with begun(folder, text, off, practice) as desk:
        ways = []
        for turn in (False, True):
            if turn:
                desk.turn()
            ways.append([step.operation.name for step in desk.plan().steps])
            while desk.plan().steps:
                tick(desk)
        assert {entry.state for entry in torque_record(desk.moment())} <= {CLOSED}
    return ways[0], ways[1]


def tick(desk: Desk) -> None:
    step = desk.plan().steps[0]
    gate = next((gate for gate in getattr(desk.plan(), "gates", ()) if gate.step == step.number), None)
    if gate is None:
        desk.done(step.number, prepared=True)
        return
    words = words_for(desk.machine.joint(*gate.joint.split("/")))
    desk.done(step.number, **words, fasteners="all", stages="all")
