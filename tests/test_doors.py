"""Every rule at every door: what one door refuses, no other takes. A cell without a meaning says why.

The rules: the strength guard, units, heads, tolerance, closing off, cure. The doors: the commands that read a
file, the acts of a job from both surfaces, and a hand in the job's copy while it is under way.
"""

import re
import shutil
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import httpx
import pytest

from sequencer.bench.access.address import address
from sequencer.bench.access.pairing import Sessions
from sequencer.bench.app import page
from sequencer.errors import SequencerError
from sequencer.job.changes.finds import Find
from sequencer.job.desk import By, Desk
from sequencer.job.journal.folder import find_job
from sequencer.job.work.curing import cures
from tests.cli.conftest import sequencer  # noqa: F401 - a fixture
from tests.job.conftest import ANN, begin_job
from tests.support.door import alone
from tests.support.profile import before_landing

MACHINE = """machine: Doors, invented
fluids: {oil: {volume: 4 L, fill: {time: 4 min}}}
parts:
  pan:
    wet: [oil]
    sealant: {kind: rtv, assemble_within: 15 min, cure: 2 h}
    joints: {bolts: {kind: bolt, head: 10, count: 10, torque: 8 N.m}}
  lid:
    behind: [cover]
    joints: {bolts: {kind: bolt, head: 10, thread: M6, class: 8.8, torque: 9 N.m, tolerance: 5 %}}
  cover: {joints: {clip: {kind: clip}}}
"""
GATE = "torque lid/bolts"
HERE = address(lan=False, port=8765)

# M6 8.8 bears 11.6 kN (ISO 898-1); 900 N.m at K 0.2 pulls 750 kN: 64 times that.
WRITTEN = {
    "strength": ("torque: 9 N.m", "torque: 900 N.m", r"900 N\.m on M6 8\.8 is 64 times its proof load"),
    "units": ("torque: 9 N.m", "torque: 9", "9 has no unit"),
    "heads": ("head: 10, thread", "head: blurb, thread", "no tool fits a head `blurb`"),
    "tolerance": ("tolerance: 5 %", "tolerance: 60 %", "a tolerance of 60 % nearly any reading would do"),
}
READ = {
    "strength": ("900 N.m", r"900 N\.m on M6 8\.8 is 64 times its proof load"),
    "units": ("9", "9 has no unit"),
    "tolerance": ("9.6 N.m", r"9\.6 N\.m is above what is asked: 9 N\.m ±5 %"),
}
FOUND = {
    "strength": ("plug 17 M14x1.5 900 N.m", r"900 N\.m on M14x1\.5"),
    "units": ("bolt 10 9", "'bolt 10 9' also says '9'"),
    "heads": ("bolt blurb", "no tool fits a head `blurb`"),
}
NO_MEANING = {
    ("heads", "done"): "a reading has no head",
    ("heads", "page"): "a reading has no head",
    ("tolerance", "found"): "what holds a find is said without a tolerance",
    ("closing off", "check"): "a file has no order that could close anything off",
    ("closing off", "new"): "the way back is planned at the turn, by what plan is held to",
    ("tolerance", "correct"): "a tolerance is none of the keys that it puts right",
    ("closing off", "correct"): "it moves no step, and a gate that is closed refuses another figure",
    ("cure", "check"): "nothing cures in a file; the units of its times are held like any others",
    ("cure", "new"): "the way back is planned at the turn, by what plan is held to",
    ("cure", "correct"): "a sealant is none of the keys that it puts right",
}
RULES = ("strength", "units", "heads", "tolerance", "closing off", "cure")
DOORS = ("check", "plan", "new", "done", "page", "found", "correct", "hand edit")


@dataclass
class Job:
    """A job that has just been turned: what its person and its page say to it."""

    desk: Desk

    @property
    def copy(self) -> Path:
        return self.desk.folder.machine

    def until(self, name: str) -> None:
        """Do what has to come before a step, each gate by what it asks for."""
        while (op := self.desk.state().left[0][1]) != name:
            self.do(op)

    def do(self, op: str, **more: object) -> None:
        joint = self.desk.moment().operations[op]
        if op.startswith("torque "):
            asked = self.desk.machine.joint(joint.part, joint.joint).torque.stages[-1].text
            more = {"torque": asked, "fasteners": "all", **more}
        self.desk.done([op], **more)

    def do_all_but(self, *names: str, **more: object) -> None:
        """Do everything that can be done without these."""
        while free := [op for _, op in self.desk.state().left if op not in names and self.able(op)]:
            self.do(free[0], **more)

    def able(self, op: str) -> bool:
        return not self.desk.moment().why_not(op, self.desk.moment().present)

    def edit(self, old: str, new: str) -> None:
        text = self.copy.read_text(encoding="utf-8")
        assert text.count(old) == 1, old
        self.copy.write_text(text.replace(old, new), encoding="utf-8")

    def post(self, path: str, **fields: str) -> str:
        """What the page's script is answered, or the problem that it is told."""
        sessions = Sessions(self.desk.folder.path / ".bench-devices.json")
        cookie = sessions.pair(sessions.invite(), "phone", "Bo")
        app = httpx.ASGITransport(page(self.desk.folder.path, sessions, HERE))
        headers = {"Cookie": f"{sessions.cookie}={cookie}", "Accept": "application/json"}
        fields = {"csrf": sessions.of(cookie).csrf, **fields}

        async def send() -> httpx.Response:
            async with httpx.AsyncClient(transport=app, base_url=HERE.url) as client:
                return await client.post(path, data=fields, headers=headers)

        answer = alone(send())
        assert answer.status_code in (200, 409), answer.text
        return answer.json().get("problem", "")


@pytest.fixture(scope="module")
def turned(tmp_path_factory):
    """The folder of a job that was turned after all of its teardown, to be copied."""
    folder = tmp_path_factory.mktemp("doors")
    file = folder / "machine.yaml"
    file.write_text(MACHINE, encoding="utf-8")
    desk = Desk(begin_job(folder / "job", off=("lid", "pan"), machine=file), ANN)
    desk.done([op for _, op in desk.state().left])
    desk.turn()
    desk.close()
    return folder / "job"


@pytest.fixture
def job(turned, tmp_path):
    shutil.copytree(turned, tmp_path / "job")
    desk = Desk(find_job(tmp_path / "job"), ANN)
    yield Job(desk)
    desk.close()


@pytest.fixture
def run(sequencer, tmp_path):  # noqa: F811 - the fixture
    """Run a command on a machine file of this text."""

    def command(name, text):
        file = tmp_path / "machine.yaml"
        file.write_text(text, encoding="utf-8")
        words = {
            "check": ["check", file],
            "plan": ["plan", file, "--off", "lid"],
            "new": ["new", tmp_path / "fresh", "--machine", file, "--off", "lid"],
        }
        return sequencer(*words[name])

    return command


def refused(says, act, *args, **words):
    with pytest.raises(SequencerError) as why:
        act(*args, **words)
    assert re.search(says, str(why.value)), str(why.value)


def test_the_table_is_whole_and_names_no_cell_twice():
    cells = {(rule, door) for rule in RULES for door in DOORS}
    assert NO_MEANING.keys() <= cells
    tested = {*FILES, *READINGS, *FINDS, *CORRECTIONS, *HANDS, *CLOSING, *CURES}
    assert tested | NO_MEANING.keys() == cells
    assert not tested & NO_MEANING.keys()


# ---- Rules of the file: at the commands, at the readings, at a find, under a hand ----

FILES = [(rule, door) for rule in WRITTEN for door in ("check", "plan", "new")]


@before_landing
@pytest.mark.parametrize(("rule", "door"), FILES)
def test_a_file_against_a_rule_is_refused(rule, door, run, tmp_path):
    old, new, says = WRITTEN[rule]
    assert run(door, MACHINE).code == 0
    shutil.rmtree(tmp_path / "fresh", ignore_errors=True)
    ran = run(door, MACHINE.replace(old, new))
    assert ran.code == 2
    assert re.search(says, " ".join((ran.out + ran.err).split()))
    assert not (tmp_path / "fresh").exists()


READINGS = [(rule, door) for rule in READ for door in ("done", "page")]


@before_landing
@pytest.mark.parametrize(("rule", "door"), READINGS)
def test_a_reading_against_a_rule_closes_no_gate(rule, door, job):
    read, says = READ[rule]
    job.until(GATE)
    if door == "done":
        refused(says, job.desk.done, [GATE], torque=read)
    else:
        value, _, unit = read.partition(" ")
        assert re.search(says, job.post("/gate", op=GATE, value=value, unit=unit))
    assert GATE not in job.desk.state().ticks
    job.do(GATE)
    assert GATE in job.desk.state().ticks


FINDS = [(rule, "found") for rule in FOUND]


@pytest.mark.parametrize(("rule", "door"), FINDS)
def test_a_find_against_a_rule_is_not_written(rule, door, job):
    held, says = FOUND[rule]
    before = job.copy.read_bytes()
    refused(says, job.desk.found, Find("stay", {"blocks": ("cover",)}, held=(held,)), date(2026, 11, 25))
    assert job.copy.read_bytes() == before
    job.desk.found(Find("stay", {"blocks": ("cover",)}, held=("bolt 10 x2",)), date(2026, 11, 25))


CORRECTIONS = [(rule, "correct") for rule in WRITTEN if rule != "tolerance"]


@pytest.mark.parametrize(("rule", "door"), CORRECTIONS)
def test_a_correction_against_a_rule_is_not_written(rule, door, job):
    _, new, says = WRITTEN[rule]
    key, _, value = new.removesuffix(", thread").partition(": ")
    before = job.copy.read_bytes()
    refused(says, job.desk.correct, "lid/bolts", {key: value})
    assert job.copy.read_bytes() == before
    job.desk.correct("lid/bolts", {"torque": "8 N.m"})


HANDS = [(rule, "hand edit") for rule in WRITTEN]


@before_landing
@pytest.mark.parametrize(("rule", "door"), HANDS)
def test_a_hand_in_the_copy_against_a_rule_stops_every_act(rule, door, job):
    old, new, says = WRITTEN[rule]
    job.until(GATE)
    job.edit(old, new)
    refused(says, job.desk.done, [GATE], torque=new.removeprefix("torque: "))
    refused(says, job.desk.turn, apart=True)
    assert re.search(says, job.post("/gate", op=GATE, value="9", unit="N.m"))
    job.edit(new, old)
    job.do(GATE)
    assert GATE in job.desk.state().ticks


# ---- No step closes off what is still to be torqued ----

CLOSING = [("closing off", door) for door in ("plan", "done", "page", "found", "hand edit")]
SHUT = r"it would close off the open gate of (lid|pan)/bolts"


@pytest.mark.parametrize(("rule", "door"), CLOSING)
def test_no_door_lets_an_open_gate_be_closed_off(rule, door, job):
    order = [op for _, op in job.desk.state().left]
    if door == "plan":
        assert order.index(GATE) < order.index("fit cover")
        return
    if door == "found":
        job.desk.found(Find("stay", {"blocks": ("lid",)}, held=("bolt 10 x2",)), date(2026, 11, 25))
    gate = "torque pan/bolts" if door == "hand edit" else GATE
    if door == "hand edit":
        job.edit("    wet: [oil]\n", "    wet: [oil]\n    behind: [cover]\n")
    job.do_all_but(gate, "fit cover", "fill oil")
    assert job.able(gate)
    if door == "page":
        assert re.search(SHUT, job.post("/tick", op="fit cover"))
    else:
        refused(SHUT, job.desk.done, ["fit cover"])
    job.do(gate)
    job.desk.done(["fit cover"])


# ---- Nothing is filled on a sealant that cures ----

CURES = [("cure", door) for door in ("plan", "done", "page", "found", "hand edit")]
WET = "Fill oil waits: the .* on pan cures until"


@pytest.mark.parametrize(("rule", "door"), CURES)
def test_no_door_lets_the_machine_be_filled_on_a_sealant_that_cures(rule, door, job):
    if door == "plan":
        (hold,) = job.desk.plan().holds
        assert (hold.sealed, hold.seconds) == ("pan", 7200)
        return
    hours = 5 if door == "hand edit" else 2
    # A time that is ahead of the clock is not taken: where the person says when, it all was this morning.
    begun = datetime.now(UTC) - timedelta(hours=0 if door == "page" else 8)
    job.do_all_but("fill oil", by=By("Ann", "laptop", begun))
    if door == "found":
        job.desk.found(Find("stay", on="cover", held=("bolt 10",)), date(2026, 11, 25))
    if door == "hand edit":
        job.edit("cure: 2 h", "cure: 5 h")
    (cure,) = cures(job.desk.moment())
    assert cure.until - begun == timedelta(hours=hours)
    if door == "page":
        assert re.search(WET, job.post("/tick", op="fill oil"))
        return
    early = begun + timedelta(hours=hours - 0.2)
    refused(WET, job.desk.done, ["fill oil"], by=By("Ann", "laptop", early))
    job.desk.done(["fill oil"], by=By("Ann", "laptop", cure.until))
    assert "fill oil" in job.desk.state().ticks
