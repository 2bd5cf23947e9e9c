"""A gate whose torque nobody has said asks for it on the page: with its source, or hand tight at a tap."""

from pathlib import Path

import pytest

from sequencer.job.desk import By, Desk
from sequencer.job.work import figures
from sequencer.job.work.figure_words import Figure
from sequencer.quantities import parse_torque
from tests.bench.conftest import make_job
from tests.bench.test_no_path import door_to
from tests.support.profile import before_landing

FILE = Path(__file__).parent.parent / "job" / "figured.yaml"
GATE = "torque rotor/small"
SCRIPT = {"Accept": "application/json"}


@pytest.fixture
def desk(tmp_path):
    text = FILE.read_text(encoding="utf-8") + "taken_apart:\n  order: [cover, sump, rotor]\n"
    for end in ("count: 2}", "drawing}}"):
        text = text.replace(end, f"{end[:-1]}, note: {{back: Left hand thread.}}}}")
    (tmp_path / "figured.yaml").write_text(text, encoding="utf-8")
    make_job(tmp_path / "job", tmp_path / "figured.yaml", off=("rotor",))
    with Desk.open(tmp_path / "job", By("Ada", "test")) as opened:
        opened.done([op for _, op in opened.state().left])
        opened.turn()
        opened.done(["fit rotor", "fasten rotor/small"])
        yield opened


@before_landing
def test_hand_tight_is_one_tap(desk):
    with door_to(desk) as door:
        page = door.ask("GET", f"/gate/{GATE}").text
        assert "nobody has said its torque" in page
        assert "Hand tight" in page
        assert "note: Left hand thread." in page
        door.post("/gate", {"op": GATE, "by_hand": "yes"})
        record = door.ask("GET", "/record").text
        assert "no figure, by hand: hand tight" in record
        assert "Torque not said" in door.ask("GET", "/overview").text
    assert GATE in desk.state().ticks


def test_what_a_nut_drags_otherwise_is_said_at_its_gate(desk):
    gate = "torque rotor/nut"
    desk.write(figures.figure(["rotor/nut"], Figure(prevailing=parse_torque("5 N.m")), desk.file))
    desk.done(["fasten rotor/nut"])
    with door_to(desk) as door:
        page = door.ask("GET", f"/gate/{gate}").text
        assert "65 N.m (48 lbf.ft): 60 N.m + 5 N.m prevailing" in page
        assert "note: Left hand thread." in page
        door.post("/gate", {"op": gate, "unit": "N.m", "drag": "4,5"})
        assert "64.5 N.m (47.5 lbf.ft): 60 N.m + 4.5 N.m prevailing" in door.ask("GET", f"/gate/{gate}").text


def test_a_figure_wants_its_source(desk):
    values = {"op": GATE, "value": "9", "unit": "N.m", "fasteners": "all"}
    with door_to(desk) as door:
        said = door.post("/gate", values, headers=SCRIPT)
        assert (said.status_code, "say where the figure is from" in said.json()["problem"]) == (409, True)
        door.post("/gate", {**values, "source": "manual p. 4"})
    assert desk.machine.joint("rotor", "small").torque.source == "manual p. 4"
    assert GATE in desk.state().ticks


def test_a_tick_without_a_torque_asks_for_it(desk):
    with door_to(desk) as door:
        said = door.post("/gate", {"op": GATE}, headers=SCRIPT)
        assert (said.status_code, "hand tight" in said.json()["problem"]) == (409, True)
