"""`sequencer expand`: what it prints is a machine file by itself, and it spoils none of its inputs."""

import json
from pathlib import Path

import sequencer as package
from sequencer.machine.library import folder
from tests.support.profile import before_landing

TUG = "examples/yard-tug.yaml"


@before_landing
def test_what_it_prints_is_a_plain_machine_file(sequencer, tmp_path):
    ran = sequencer("expand", TUG)
    assert (ran.code, ran.err) == (0, "")
    assert "\ninclude:" not in ran.out
    assert "\nrepeat:" not in ran.out
    plain = tmp_path / "tug.yaml"
    plain.write_text(ran.out, "utf-8")
    one, other = (
        sequencer("plan", TUG, "--off", "right-disc"),
        sequencer("plan", plain, "--off", "right-disc"),
    )
    assert one.out == other.out
    assert sequencer("expand", plain).out == ran.out, "what is plain stays as it is, comments and all"


def test_a_script_gets_the_same_text(tmp_path):
    path = tmp_path / "m.yaml"
    path.write_text("repeat: {n: [a, b]}\nmachine: M\nparts: {p-<n>: {joints: {j: {kind: clip}}}}\n", "utf-8")
    text = package.expand(path)
    assert "  p-b:\n" in text
    path.write_text(f"# mine\n{text}", "utf-8")
    assert package.expand(path) == f"# mine\n{text}"


def test_it_writes_no_file_that_it_is_made_of(sequencer, tmp_path):
    (tmp_path / "one.yaml").write_text("assembly: One\nparts: {a: {joints: {b: {kind: clip}}}}\n", "utf-8")
    machine = tmp_path / "m.yaml"
    machine.write_text("machine: M\ninclude: [{assembly: one.yaml, as: x}]\nparts: {}\n", "utf-8")
    for name in ("one.yaml", "m.yaml"):
        ran = sequencer("expand", machine, "-o", tmp_path / name)
        assert ran.code == 2
        assert "name another file to write to" in ran.err
    ran = sequencer("expand", machine, "-o", tmp_path / "new.yaml")
    assert (ran.code, ran.out) == (0, f"{tmp_path}/new.yaml: {machine} written out\n")


def test_a_fault_is_told_and_nothing_is_written(sequencer, tmp_path):
    machine = tmp_path / "m.yaml"
    machine.write_text("machine: M\ninclude: [{assembly: two.yaml, as: x}]\nparts: {}\n", "utf-8")
    ran = sequencer("expand", machine, "-o", tmp_path / "new.yaml")
    assert (ran.code, ran.out, (tmp_path / "new.yaml").exists()) == (2, "", False)
    assert f"{machine}:2:22: there is no file `two.yaml` here" in ran.err


def test_the_library_ships_where_the_machines_do():
    assert (folder() / "assemblies" / "wheel-end.yaml").is_file()
    text = (Path(package.__file__).parents[1] / "pyproject.toml").read_text("utf-8")
    assert '"models" = "sequencer/models"' in text


BOXED = """\
assembly: Boxed, invented
parts:
  lid: {box: {at: [0, 0, 100], size: [100, 100, 10]}, out: +z, joints: {a: {kind: clip}}}
  fuse: {box: {at: [0, 0, 0], size: [10, 10, 10]}, out: +z, behind: [cap], joints: {clip: {kind: clip}}}
  cap: {box: {at: [500, 0, 0], size: [10, 10, 10]}, out: +z, joints: {clip: {kind: clip}}}
"""


def test_a_scan_sees_what_is_included_and_writes_beside_the_include(sequencer, tmp_path):
    (tmp_path / "boxed.yaml").write_text(BOXED, "utf-8")
    machine = tmp_path / "m.yaml"
    machine.write_text("machine: M\ninclude: [{assembly: boxed.yaml, as: x}]\nparts: {}\n", "utf-8")
    (doubt,) = json.loads(sequencer("scan", machine, "--json").out)["doubts"]
    assert (doubt["line"], Path(doubt["in_file"]).name) == (4, "boxed.yaml")
    ran = sequencer("scan", machine, "--write")
    assert ran.code == 0
    assert "x-fuse:" in machine.read_text("utf-8")
    assert "x-lid" in machine.read_text("utf-8")
    assert (tmp_path / "boxed.yaml").read_text("utf-8") == BOXED
    assert sequencer("check", machine).code == 0
