"""A machine file from a stranger: taken over whole, or refused with all that is wrong and nothing written."""

import random
from datetime import date

import pytest

from sequencer.document.comparing.differences import differences
from sequencer.job.learning.track_record import TrackRecord
from sequencer.machine import MachineFileError, load, read_text
from sequencer.machine.incoming import LONGEST_TEXT, incoming
from sequencer.machine.library import folder
from sequencer.render.export.as_machine import shared_text
from tests.cli.conftest import sequencer  # noqa: F401 - a fixture
from tests.support.profile import before_landing, counts

PART = "{joints: {a: {kind: clip}}}"
DAY = date(2026, 11, 30)
SHIPPED = sorted(folder().glob("*.yaml"))[: counts(quick=2, landing=50, nightly=99)]


def faults_of(path, text):
    path.write_text(text, "utf-8")
    with pytest.raises(MachineFileError) as refused:
        incoming(path)
    return [str(one).removeprefix(f"{path}:") for one in refused.value.faults]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (f"machine: M\nparts: {{'$(rm -rf x)': {PART}}}\n", "2:9: `$(rm -rf x)` can't be taken over"),
        (f"machine: M\nparts: {{'../x': {PART}}}\n", "2:9: `../x` can't be taken over as a name"),
        (f"machine: M\nparts: {{<script>: {PART}}}\n", "2:9: `<script>` can't be taken over as a name"),
        (f"machine: M\nparts: {{{'n' * 81}: {PART}}}\n", "2:9: `nnn"),
        (f"machine: M\u202e\nparts: {{a: {PART}}}\n", "1:11: there is a sign that nobody sees or that turns"),
        (f'machine: "M\\u202e"\nparts: {{a: {PART}}}\n', "1:10: there is a sign that nobody sees"),
        (f"machine: M\n# \u200b\nparts: {{a: {PART}}}\n", "2:3: there is a sign that nobody sees"),
        (
            f"machine: M\nabout: {'x' * (LONGEST_TEXT + 1)}\nparts: {{a: {PART}}}\n",
            "2:8: this text has 2,001",
        ),
        (
            f"machine: M\nparts: {{a: {PART}, b: {{mesh: ../etc/x.stl}}}}\n",
            "`../etc/x.stl` is a file beside this one",
        ),
        (
            f"machine: M\ninclude: {{assembly: x.yaml, as: x}}\nparts: {{a: {PART}}}\n",
            "`x.yaml` is a file beside",
        ),
        ("machine: M\nparts: {a: {weight: 90000 kg, joints: {}}}\n", "90,000 kg can't be meant"),
        (
            "machine: M\nparts: {a: {joints: {b: {kind: nut, head: 13, count: 900}}}}\n",
            "900 of them can't be meant",
        ),
        (
            "machine: M\nparts: {a: {joints: {b: {kind: nut, torque: 30000 N.m}}}}\n",
            "30,000 N.m can't be meant",
        ),
        (f"machine: M\nx: &a [1]\ny: [*a, *a]\nparts: {{a: {PART}}}\n", "anchor"),
        (f"machine: M\nparts: {{a: {PART}}}\nx: {'[' * 60}{']' * 60}\n", "nested more than 40 levels"),
        (f"machine: M\x1b[31m\nparts: {{a: {PART}}}\n", "control character"),
    ],
)
def test_what_would_be_odd_dangerous_or_a_burden_is_refused(tmp_path, text, told):
    found = faults_of(tmp_path / "m.yaml", text)
    assert any(told in one for one in found), found


def test_all_of_it_is_told_at_once_and_nothing_is_written(sequencer, tmp_path):  # noqa: F811
    last = "c: {mesh: /etc/x.stl, joints: {d: {kind: clip, behind: [e]}}}"
    text = f"machine: M\u202e\nparts:\n  a|b: {PART}\n  {last}\n"
    (tmp_path / "m.yaml").write_text(text, "utf-8")
    ran = sequencer("import", tmp_path / "m.yaml", "-o", tmp_path / "mine.yaml")
    assert (ran.code, ran.out) == (2, "")
    for told in ("turns the text round", "`a|b`", "is a file beside", "there is no part `e`"):
        assert ran.err.count(told) == 1
    assert [one.name for one in tmp_path.iterdir()] == ["m.yaml"]


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_what_is_shared_is_taken_over_and_says_the_same(path, tmp_path):
    given = tmp_path / "given.yaml"
    given.write_text(shared_text(path, "Ann", DAY, TrackRecord(), notes=True), "utf-8")
    assert given.read_text("utf-8").startswith(
        f"# {load(path).name}: a machine file to be shared.\n# From Ann, 2026-11-30."
    )
    assert differences(load(path), incoming(given).machine) == ()


def test_notes_go_and_cautions_stay_and_a_shape_becomes_a_box(tmp_path):
    pytest.importorskip("trimesh").creation.box((40, 20, 10)).export(tmp_path / "lid.stl")
    path = tmp_path / "m.yaml"
    path.write_text(
        "machine: M\nparts:\n"
        "  note: {note: mine, caution: hot, joints: {note: {kind: clip, note: {back: mine}}}}\n"
        "  lid: {mesh: lid.stl, out: +z, joints: {a: {kind: clip}}}\n",
        "utf-8",
    )
    text = shared_text(path, "", DAY, TrackRecord(2, DAY, {"lid": 2}))
    assert "mine" not in text
    assert "From somebody who is not named" in text
    assert "# Confirmed on 2 jobs, last on 2026-11-30.\n# Came off: lid (2).\n# Not touched on" in text
    machine = read_text(text).machine
    assert machine.parts["note"].cautions.way_in == ("hot",)
    assert list(machine.parts["note"].joints) == ["note"]
    assert [float(one) for one in machine.parts["lid"].boxes[0].size] == [40, 20, 10]
    assert machine.parts["lid"].mesh is None


def test_a_job_shares_its_copy_and_says_what_it_confirmed(sequencer, tmp_path, monkeypatch):  # noqa: F811
    path = tmp_path / "m.yaml"
    path.write_text(f"machine: M\nparts: {{a: {PART}, b: {PART}}}\n", "utf-8")
    assert sequencer("new", tmp_path / "j", "--machine", path, "--off", "a", "--people", "Ann").code == 0
    assert sequencer("done", "1,2", "--job", tmp_path / "j").code == 0
    for words in ((tmp_path / "j",), (path, "--confirmed", tmp_path, "--by", "Ann")):
        told = sequencer("export", *words, "--machine").out
        assert "# From Ann, " in told
        assert "# Confirmed on 1 job, last on 20" in told
        assert "# Came off: a (1).\n# Not touched on a job: 1 of 2 parts." in told
    refused = sequencer("export", path, "--machine", "--off", "a")
    assert (refused.code, "--machine shares all of a machine" in refused.err) == (2, True)
    assert sequencer("export", path, "--off", "a", "--notes").code == 2


HOSTILE = (
    "\u202e",
    "&a ",
    "*a",
    "!!python/object ",
    "- ",
    "{",
    "[" * 50,
    "\x00",
    "<<: ",
    "'",
    '"',
    "\n",
    "9" * 30,
    "../",
    "\ud7ff",
    ": ",
)


@before_landing
@pytest.mark.parametrize("seed", range(counts(quick=2, landing=10, nightly=2000)))
def test_a_damaged_file_is_taken_over_whole_or_not_at_all(seed, tmp_path):
    rng = random.Random(seed)
    text = list(shared_text(folder().parent / "examples" / "bench-pump.yaml", "Ann", DAY, TrackRecord()))
    for _ in range(rng.randint(1, 4)):
        at = rng.randrange(len(text))
        text[at : at + rng.choice((0, 1, 1, 30))] = rng.choice(HOSTILE) if rng.random() < 0.7 else ""
    path = tmp_path / "m.yaml"
    path.write_bytes("".join(text).encode("utf-8", "surrogatepass"))
    try:
        found = incoming(path)
    except MachineFileError as fault:
        refused = fault.faults
    else:
        _says_the_same_in_our_hand(found)
        return
    assert any(one.severity == "error" for one in refused)


def _says_the_same_in_our_hand(found):
    from sequencer.machine.expand import as_text

    again = read_text(as_text(found.data)).machine
    assert again is not None
    assert differences(found.machine, again) == ()
