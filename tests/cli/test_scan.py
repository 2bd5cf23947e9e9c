"""`sequencer scan`: report, JSON, drawing, and writing into a file that stays its author's."""

import json
import re

import pytest

from sequencer.machine import load
from tests.support.profile import before_landing

GUIDE = "examples/guide/hidden.yaml"


@pytest.fixture
def file(tmp_path):
    from tests.cli.conftest import ROOT

    path = tmp_path / "pump.yaml"
    path.write_text((ROOT / GUIDE).read_text("utf-8"), "utf-8")
    return path


def test_findings_are_no_fault(sequencer):
    ran = sequencer("scan", GUIDE)
    assert (ran.code, ran.err) == (0, "")
    assert "3 not written" in ran.out


def test_the_report_of_the_van_fits_a_screen(sequencer):
    ran = sequencer("scan", "models/delivery-van.yaml")
    assert ran.code == 0
    assert re.search(r"0 not written, 1\d\d agree", ran.out)
    assert len(ran.out.splitlines()) < 24


@before_landing
def test_json_has_every_relation_with_what_became_of_it(sequencer):
    data = json.loads(sequencer("scan", GUIDE, "--json").out)
    assert [(one["holder"], one["key"], one["need"]) for one in data["hidden"]] == [
        ("pump", "trapped_by", "{cable-duct: aside}"),
        ("pump", "trapped_by", "sensor"),
        ("pump/bolts", "behind", "sensor"),
    ]
    assert [one["how"] for one in data["agrees"]] == ["written"]
    van = json.loads(sequencer("scan", "models/delivery-van.yaml", "--json").out)
    assert {one["how"] for one in van["agrees"]} == {"written", "follows"}
    assert (van["hidden"], [one["need"] for one in van["doubts"]]) == ([], ["timing-belt"])


def test_off_leaves_only_what_the_job_may_touch(sequencer):
    assert "0 not written" in sequencer("scan", GUIDE, "--off", "cover").out
    assert "3 not written" in sequencer("scan", GUIDE, "--off", "pump").out
    ran = sequencer("scan", GUIDE, "--off", "pmup")
    assert ran.code == 2
    assert "did you mean pump?" in ran.err


def test_a_job_is_told_what_the_hidden_blockers_cost_it(sequencer):
    said = sequencer("scan", GUIDE, "--off", "pump").out
    assert "the job takes 6 min instead of 4 min, 4 operations more" in said
    job = json.loads(sequencer("scan", GUIDE, "--off", "pump", "--json").out)["job"]
    assert job["seconds_as_seen"] > job["seconds_as_written"]
    assert "remove sensor" in job["added"]
    assert job["proven"]


@before_landing
def test_all_shows_what_follows(sequencer):
    assert "follows from other lines" not in sequencer("scan", "models/delivery-van.yaml").out
    assert "follows from other lines" in sequencer("scan", "models/delivery-van.yaml", "--all").out


def test_write_adds_each_with_a_comment_keeps_the_rest_and_then_nothing_is_hidden(sequencer, file):
    before = file.read_text("utf-8").splitlines()
    ran = sequencer("scan", file, "--write")
    assert (ran.code, ran.err) == (0, f"{file}: 2 relations written\n")
    after = file.read_text("utf-8").splitlines()
    assert (
        "    trapped_by: [{cable-duct: aside}]  # seen in the boxes: the way out +z runs into cable duct"
        in after
    )
    assert sum(line not in after for line in before) <= 1  # the joint's line goes on
    found = load(file)
    assert [str(need) for need in found.parts["pump"].joints["bolts"].under("behind")] == ["sensor"]
    again = sequencer("scan", file, "--write")
    assert "0 not written" in again.out
    assert again.err == f"{file}: nothing to write\n"


def test_what_would_shut_a_part_in_is_not_written(sequencer, tmp_path):
    path = tmp_path / "m.yaml"
    box = "box: {at: [0, 0, %s], size: [9, 9, 9]}, out: %s, joints: {a: {kind: clip}}"
    low, lid = box % (0, "+z"), box % (20, "-z")
    path.write_text(f"machine: m\nparts:\n  low: {{{low}}}\n  lid: {{{lid}}}\n", "utf-8")
    ran = sequencer("scan", path, "--write")
    assert ran.code == 0
    assert "not written: lid: trapped_by: [low]; with it a part could never come off" in ran.err
    assert "1 relation written" in ran.err


def test_a_write_protected_file_is_left_alone(sequencer, file):
    before = file.read_bytes()
    file.chmod(0o444)
    ran = sequencer("scan", file, "--write")
    assert (ran.code, file.read_bytes()) == (2, before)
    assert "is write-protected; make it writable, or name another file" in ran.err


def test_a_file_without_boxes_says_what_to_add_and_counts_all_its_parts(sequencer, tmp_path):
    path = tmp_path / "bare.yaml"
    clip = "joints: {c: {kind: clip}}"
    parts = f"  a: {{behind: [b], {clip}}}\n  b: {{{clip}}}\n  c: {{trapped_by: [b], {clip}}}\n"
    path.write_text(f"machine: m\nparts:\n{parts}", "utf-8")
    ran = sequencer("scan", path)
    assert ran.code == 0
    assert "0 of 3 parts placed" in ran.out
    assert "2 can't be judged" in " ".join(ran.out.split())
    assert "box: {at: [x, y, z], size: [a, b, c]}" in ran.out
    job = " ".join(sequencer("scan", path, "--off", "c").out.split())
    assert "0 of 3 parts placed" in job
    assert "1 can't be judged" in job


def test_draw_writes_an_svg_and_refuses_another_kind(sequencer, tmp_path):
    assert sequencer("scan", GUIDE, "--draw", tmp_path / "x.svg").code == 0
    assert (tmp_path / "x.svg").read_text("utf-8").startswith("<svg")
    ran = sequencer("scan", GUIDE, "--draw", tmp_path / "x.png")
    assert ran.code == 2
    assert "end the name in .svg" in ran.err


@before_landing
def test_what_is_read_from_files_is_told_with_its_tolerance(sequencer, tmp_path):
    trimesh = pytest.importorskip("trimesh")
    trimesh.creation.icosphere(subdivisions=1, radius=40).export(tmp_path / "a.stl")
    path = tmp_path / "m.yaml"
    path.write_text("machine: m\nparts:\n  a: {mesh: a.stl, out: +z, joints: {b: {kind: clip}}}\n", "utf-8")
    ran = sequencer("scan", path, "--tolerance", "0.5")
    assert (
        "1 shape from files, 80 triangles; what overlaps across the way by up to 0.5 mm slides"
        in " ".join(ran.out.split())
    )
    (tmp_path / "a.stl").write_text("rubbish", "utf-8")
    ran = sequencer("scan", path)
    assert ran.code == 2
    assert f"{path}:3:3: a.stl" in ran.err


def test_an_order_is_told_against_the_shapes_in_words_and_in_json(sequencer):
    asked = ("plan", GUIDE, "--off", "pump", "--against-shapes")
    assert "Step 4, Take off pump: the way out +z runs into cable duct" in sequencer(*asked).out
    data = json.loads(sequencer(*asked, "--json").out)["against_shapes"]
    assert (data["moves"], data["judged"]) == (4, 3)
    assert {(one["step"], one["operation"], one["obstacle"]) for one in data["collisions"]} == {
        (3, "undo pump/bolts", "sensor"),
        (4, "remove pump", "sensor"),
        (4, "remove pump", "cable-duct"),
    }
    back = sequencer("refit", GUIDE, "--off", "pump", "--against-shapes").out
    assert "Step 1, Fit pump: the way out +z runs into cable duct" in back
    assert "against_shapes" not in json.loads(sequencer("plan", GUIDE, "--off", "pump", "--json").out)


def test_with_everything_written_nothing_runs_into_anything(sequencer, file):
    assert sequencer("scan", file, "--off", "pump", "--write").code == 0
    said = sequencer("plan", file, "--off", "pump", "--against-shapes").out
    assert "none runs into what has a box or a shape" in said


def test_a_unit_of_a_mesh_that_nobody_knows_is_told_at_its_line(sequencer, tmp_path):
    path = tmp_path / "m.yaml"
    path.write_text(
        "machine: m\nparts:\n  a:\n    mesh: a.stl\n    mesh_unit: ell\n    joints: {b: {kind: clip}}\n",
        "utf-8",
    )
    ran = sequencer("check", path)
    assert ran.code == 2
    assert "m.yaml:5:" in ran.out + ran.err
    assert "write mm, cm, m, in" in ran.out + ran.err


@pytest.mark.parametrize(
    "asked", [("plan", "--people", "2"), ("plan", "--look-first"), ("refit", "--gates")], ids=" ".join
)
def test_what_is_told_of_an_order_in_another_way_is_not_played_through_in_silence(sequencer, asked):
    command, *other = asked
    said = sequencer(command, GUIDE, "--off", "pump", *other, "--against-shapes")
    assert said.code == 2
    assert f"leave out --against-shapes, or {other[0]}" in said.err
