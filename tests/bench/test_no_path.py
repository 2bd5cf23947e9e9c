"""No path of the server's disk reaches a phone: not on a page, and not in a refusal."""

import re
import tempfile
from contextlib import contextmanager
from html import unescape
from pathlib import Path
from urllib.parse import quote

import pytest

import sequencer
from sequencer.bench.access.pairing import Sessions
from sequencer.bench.app import page
from sequencer.job.desk import By, Desk
from sequencer.job.journal.events import EventKind
from sequencer.machine.edit.atomic import replace_file
from tests.bench.conftest import PUMP, ROOT, make_job
from tests.bench.test_api import HERE, Door
from tests.bench.test_csrf import ROUTES
from tests.support.profile import before_landing, counts

ANN = By("Ann", "shop")
PLACES = (ROOT, Path(sequencer.__file__).parent, Path(tempfile.gettempdir()), Path.home(), PUMP.parent)


def told(answer):
    """What a phone is told, its headers included, as a person would read it."""
    return unescape(f"{answer.text}\n{answer.headers}")


def leaks(answer):
    return [m[0] for place in PLACES for m in re.finditer(rf"{re.escape(str(place))}/.*", told(answer))]


@pytest.fixture
def desk(tmp_path):
    make_job(tmp_path / "job")
    with Desk.open(tmp_path / "job", ANN) as opened:
        yield opened


@contextmanager
def door_to(desk):
    """The page of the job, without a socket, as it would be served now."""
    sessions = Sessions(desk.folder.path.parent / "devices.json")
    door = Door(page(desk.folder.path, sessions, HERE), sessions)
    yield door
    door.close()


def pages(desk, most=None):
    """Every page that this job has; of each kind at ``most`` so many."""
    ops = [op for _, op in desk.state().steps][:most]
    parts = [*desk.machine.parts][:most]
    joints = [joint.path for part in desk.machine.parts.values() for joint in part.joints.values()][:most]
    words = {"operation:path": ops, "name": parts, "file": ["x.jpg"], "token": ["x"]}
    for method, path in ROUTES:
        if method == "GET" and path != "/events":
            name = next(iter(re.findall(r"\{(.*?)\}", path)), "")
            yield from (path.replace(f"{{{name}}}", quote(word)) for word in words.get(name, [""]))
    yield from (f"/found?op={quote(op)}" for op in ops)
    yield from (f"/trouble?joint={quote(joint)}" for joint in joints)
    yield from ("/step/none", "/part/none", "/gate/none", "/none", "/log?before=x")


def refusals(desk, most=None):
    """Forms that are refused, at the least most of them: one for each thing that can be said."""
    ops = [op for _, op in desk.state().steps]
    first, last = ops[0], ops[-1]
    yield from (("/tick", {"op": op}) for op in reversed(ops[:most]))
    yield from [
        ("/tick", {"op": last}), ("/tick", {"op": "remove none"}),
        ("/untick", {"op": last}), ("/untick", {"op": "x"}), ("/undo", {"event": "none"}), ("/undo", {}),
        ("/skip", {"op": last, "why": ""}), ("/skip", {"op": first, "why": "x"}), ("/note", {"text": " "}),
        ("/note", {"text": "x", "op": "none"}), ("/photo", {"op": first}),
        ("/turn", {}), ("/turn", {"apart": "1"}),
        ("/stop", {"time": "2020-01-01"}), ("/stop", {}), ("/resume", {}), ("/resume", {}),
        ("/also", {"part": "none"}), ("/also", {"part": "seal"}),
        ("/gate", {"op": last, "value": "900", "unit": "N.m"}), ("/gate", {"op": first, "value": "x"}),
        ("/found", {"blocks": "none", "what": "Stay"}), ("/found", {"blocks": "guard"}),
        ("/found", {"blocks": "guard", "what": "Stay", "held": "nonsense"}),
        ("/found", {"blocks": "guard", "known": "impeller"}),
        ("/found", {"blocks": "guard", "known": "guard"}),
        ("/trouble", {"joint": "none", "state": "seized"}),
        ("/trouble", {"joint": "guard/screws", "state": "none"}),
        ("/correct", {"where": "guard/screws", "torque": "twenty"}), ("/correct", {"where": "none"}),
        ("/devices/none", {}),
    ]  # fmt: skip


def asked(door, looks, forms):
    """Every page, and every form as the page's script sends it; each with what came back."""
    found = [(path, door.ask("GET", path)) for path in looks]
    for path, fields in forms:
        found.append((f"{path} {fields}", door.post(path, fields, headers={"Accept": "application/json"})))
    door.post("/tick", {"op": "remove seal"})
    return [*found, ("/ after a refusal", door.ask("GET", "/"))]


def without_paths(found):
    leaking = {where: leaks(one) for where, one in found if leaks(one)}
    assert leaking == {}
    return [one.status_code for _, one in found]


def test_a_refusal_that_names_a_line_of_the_file_names_the_file_alone(desk):
    with door_to(desk) as door:
        said = door.post("/tick", {"op": "remove seal"}, headers={"Accept": "application/json"})
    assert "(bench-pump.yaml:125)" in said.json()["problem"]


MOST = counts(quick=4, landing=None, nightly=None)


@before_landing
def test_no_page_and_no_refusal_has_a_path_in_it(desk):
    with door_to(desk) as door:
        codes = without_paths(asked(door, pages(desk, MOST), refusals(desk, MOST)))
    assert {200, 404, 409, 422} <= set(codes)
    assert len(codes) > counts(quick=60, landing=70, nightly=70)


@before_landing
def test_nor_on_the_way_back_where_a_gate_is_open(desk):
    desk.done([op for _, op in desk.state().left])
    desk.turn()
    for _, op in desk.state().left:
        if op.startswith("torque "):
            break
        desk.done([op])
    looks = [*pages(desk, 1), f"/gate/{quote(op)}"]
    with door_to(desk) as door:
        without_paths(asked(door, looks, [("/gate", {"op": op, "value": "900", "unit": "N.m"})]))
    assert desk.state().of(EventKind.MEASURED)


def hand_edit(job, old, new):
    text = job.machine.read_text("utf-8")
    assert old in text
    replace_file(job.machine, text.replace(old, new, 1).encode())


def wrong_tools(job):
    (job.path.parent / "tools.yaml").write_text("torque_wrenches: [", "utf-8")


BROKEN = {
    "YAML": lambda job: hand_edit(job, "parts:", "parts: ["),
    "fault": lambda job: hand_edit(job, "kind: nut", "kind: nuts"),
    "no text": lambda job: job.machine.write_bytes(b"\xff\xfe\0"),
    "gone": lambda job: job.machine.unlink(),
    "a folder": lambda job: (job.machine.unlink(), job.machine.mkdir()),
    "journal": lambda job: (job.path / "journal.db").write_bytes(b"no database at all" * 400),
    "toolbox": wrong_tools,
    "toolbox gone": lambda job: job.machine.touch(),
}


FEW = ("YAML", "gone", "journal", "toolbox")
"""One of each kind: what can't be read, what is not there, in file, journal and toolbox."""


@before_landing
@pytest.mark.parametrize("how", counts(quick=(), landing=FEW, nightly=BROKEN))
def test_nor_where_a_file_of_the_job_is_lost_or_broken(desk, tmp_path, how):
    name = {"journal": "journal.db", "toolbox": "tools.yaml"}.get(how.split()[0], "bench-pump.yaml")
    if name == "tools.yaml":  # it is asked for at a gate
        card = desk.folder.path / "job.yaml"
        card.write_text(f"{card.read_text('utf-8')}toolbox: {tmp_path / name}\n", "utf-8")
        desk.done([op for _, op in desk.state().left])
        desk.turn()
    looks, forms = list(pages(desk, 1)), list(refusals(desk, 1))
    with door_to(desk) as door:
        BROKEN[how](desk.folder)
        found = asked(door, looks, forms)
    without_paths(found)
    assert name in "\n".join(told(one) for _, one in found)
