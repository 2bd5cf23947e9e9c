"""A torque that is due again after the job: said at its gate, and open in the record when all is back."""

from sequencer.document.plans.plan import refit_document
from sequencer.job.changes.begin import begin, copied
from sequencer.job.desk import By, Desk
from sequencer.job.reports.record import CLOSED, OPEN, reservations, torque_record
from sequencer.job.reports.status import status
from sequencer.machine.reading import read_text
from sequencer.plan import plan_teardown
from sequencer.render.data.plans.plan import refit_json
from tests.plan.jobs import machine_of, own_targets, there_and_back

ANN = By("Ann", "a")
HEAD = """
machine: M
parts:
  head:
    joints:
      bolts: {kind: bolt, head: 13, torque: {value: 20 N.m, again: after the first heat cycle}}
      stay: {kind: bolt, head: 13, torque: 20 N.m}
"""


def test_the_gate_stays_open_in_the_record_when_the_job_ends(tmp_path):
    file = tmp_path / "machine.yaml"
    file.write_text(HEAD, encoding="utf-8")
    machine = machine_of(HEAD)
    plan = plan_teardown(machine, own_targets(machine, [("off", "head")]))
    with Desk(begin(tmp_path / "job", plan, copied(file), ANN, title="Job"), ANN) as desk:
        while desk.plan().steps:
            desk.done(desk.plan().steps[0].number)
        desk.turn()
        while steps := desk.plan().steps:
            gate = steps[0].operation.name.startswith("torque ")
            desk.done(steps[0].number, **({"torque": "20 N.m"} if gate else {}))
        moment = desk.moment()
        bolts, stay = torque_record(moment)
        assert (bolts.joint, bolts.state, bolts.why) == (
            "head/bolts",
            OPEN,
            "due again: after the first heat cycle",
        )
        assert bolts.read == "20 N.m"
        assert stay.state == CLOSED
        assert reservations(moment) == (("head/bolts", "torque open: due again: after the first heat cycle"),)
        assert status(moment).gates == ()


def test_it_is_said_at_the_gate_and_in_the_json():
    _, back = there_and_back(HEAD, [("off", "head")])
    said = "due again after the job: after the first heat cycle"
    assert str(list(refit_document(back))).count(said) == 1
    torques = [step["torque"] for step in refit_json(back)["steps"] if step.get("torque")]
    assert sorted(torque.get("again", "") for torque in torques) == ["", "after the first heat cycle"]


def test_without_a_torque_nothing_is_due_again():
    text = HEAD.replace("value: 20 N.m, ", "")
    faults = [str(fault) for fault in read_text(text, "m.yaml").faults]
    assert faults == ["m.yaml:6:46: no torque is there to be due again; write value: 60 N.m"]
