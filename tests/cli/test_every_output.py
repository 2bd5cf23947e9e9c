"""Every output of every command against every kind of target: what is there is kept, or written rightly."""

import os
import stat
import subprocess
import sys
import threading
from fractions import Fraction
from pathlib import Path

import pytest
from typer.main import get_command

from sequencer.cli.app import app
from sequencer.cli.shared.output import WRITTEN
from tests.support.profile import PROFILE, before_landing, counts

MACHINE = """\
machine: Box, invented
parts:
  lid:
    box: {at: [0, 0, 100], size: [100, 100, 10]}
    joints:
      screws: {kind: screw, head: T25, count: 4, time: 8 s, torque: 4 N.m, pattern: cross,
               at: [[0, 0], [90, 0], [90, 90], [0, 90]]}
  fuse: {box: {at: [0, 0, 0], size: [10, 10, 10]}, behind: [lid], joints: {clip: {kind: clip}}}
"""
OFF = ("--off", "fuse")

# Name, what stands before the machine file, the machine file's place marked by None, and behind; the ending.
OUTPUTS = {
    "sheet": (("sheet", None, *OFF, "-o"), "pdf"),
    "tags": (("tags", None, *OFF, "-o"), "pdf"),
    "parts": (("parts", None, *OFF, "-o"), "csv"),
    "tools": (("tools", None, *OFF, "-o"), "csv"),
    "export": (("export", None, *OFF, "-o"), "json"),
    "draw": (("draw", None, *OFF, "-o"), "svg"),
    "draw the machine": (("draw", None, "-o"), "dot"),
    "scan": (("scan", None, "--draw"), "svg"),
    "import": (("import", None, "-o"), "yaml"),
    "export the machine": (("export", None, "--machine", "-o"), "yaml"),
    "models": (("models", "garden-tractor", "-o"), "svg"),
    "expand": (("expand", None, "-o"), "yaml"),
    "plan": (("plan", None, *OFF, "--people", "2", "--draw"), "svg"),
    "torque": (("torque", "--joint", None, "lid/screws", "-o"), "svg"),
}


SOON = ("parts", "export", "sheet")
"""Outputs that are tried at once: text, data, paper."""


@pytest.fixture(params=counts(quick=SOON, landing=OUTPUTS, nightly=OUTPUTS))
def output(request, sequencer, write, tmp_path, monkeypatch):
    """Run one command into a target; ``fresh`` is a new name with the right ending."""
    words, ending = OUTPUTS[request.param]
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780272000")
    machine = write(MACHINE)

    def run(target, machine=machine):
        return sequencer(*(machine if word is None else word for word in words), target)

    run.fresh = tmp_path / f"fresh.{ending}"
    run.ending, run.reads = ending, None in words
    return run


def is_refused(ran, *told):
    assert ran.code == 2
    assert ran.err.count("\n") == 1, ran.err
    for words in told:
        assert words in ran.err
    assert "Traceback" not in ran.err


def content_of(output):
    assert output(output.fresh).code == 0
    return output.fresh.read_bytes()


def test_no_output_replaces_its_input(output, tmp_path):
    if not output.reads:
        pytest.skip("it reads no file")
    named = tmp_path / f"machine.{output.ending}"
    named.write_text(MACHINE, encoding="utf-8")
    hard, soft = tmp_path / f"hard.{output.ending}", tmp_path / f"soft.{output.ending}"
    hard.hardlink_to(named)
    soft.symlink_to(named)
    for target in (named, hard, soft):
        is_refused(output(target, machine=named), f"{target} is what this command reads")
    assert named.read_text(encoding="utf-8") == MACHINE
    assert soft.is_symlink()


@before_landing
def test_a_link_stays_and_its_target_is_written(output, tmp_path):
    told = content_of(output)
    (tmp_path / "far").mkdir()
    link, real = tmp_path / f"link.{output.ending}", tmp_path / "far" / "real"
    link.symlink_to(real)
    for before in (None, b"old"):
        if before:
            real.write_bytes(before)
        assert output(link).code == 0
        assert link.is_symlink()
        assert real.read_bytes() == told
    assert [entry.name for entry in (tmp_path / "far").iterdir()] == ["real"]


@before_landing
def test_a_pipe_is_written_through(output, tmp_path):
    told = content_of(output)
    pipe = tmp_path / f"pipe.{output.ending}"
    os.mkfifo(pipe)
    got = []
    reader = threading.Thread(target=lambda: got.append(pipe.read_bytes()), daemon=True)
    reader.start()
    ran = output(pipe)
    reader.join(10)
    assert ran.code == 0, ran.err
    assert got == [told]
    assert stat.S_ISFIFO(pipe.stat().st_mode)


@before_landing
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no /dev/full")
def test_a_device_stays_and_a_full_one_is_said(output, tmp_path):
    for name in ("null", "full"):
        (tmp_path / f"{name}.{output.ending}").symlink_to(f"/dev/{name}")
    assert output(tmp_path / f"null.{output.ending}").code == 0
    full = tmp_path / f"full.{output.ending}"
    is_refused(output(full), f"{full} can't be written: No space left on device; make room")
    assert stat.S_ISCHR(full.stat().st_mode)


@before_landing
def test_a_full_disk_leaves_the_old_file_and_nothing_beside_it(output, tmp_path, monkeypatch):
    output.fresh.write_bytes(b"old")
    before = sorted(tmp_path.iterdir())

    def full(handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    is_refused(output(output.fresh), "can't be written: No space left on device; make room")
    assert output.fresh.read_bytes() == b"old"
    assert sorted(tmp_path.iterdir()) == before


@before_landing
@pytest.mark.skipif(not Path("/proc/self").exists(), reason="needs a folder that not even root may write to")
def test_a_folder_that_may_not_be_written_to_is_said(output):
    is_refused(output(Path(f"/proc/out.{output.ending}")), f"/proc/out.{output.ending} can't be written")


@before_landing
def test_a_folder_that_is_not_there_and_a_folder_for_a_file_are_said(output, tmp_path):
    is_refused(output(tmp_path / "no" / output.fresh.name), "can't be written", "make the folder first")
    folder = tmp_path / f"folder.{output.ending}"
    folder.mkdir()
    is_refused(output(folder), f"{folder} can't be written: Is a directory; name a file in it")


def test_a_file_that_is_there_is_replaced_and_keeps_its_rights(output):
    told = content_of(output)
    output.fresh.write_bytes(b"old")
    output.fresh.chmod(0o600)
    assert output(output.fresh).code == 0
    assert output.fresh.read_bytes() == told
    assert stat.S_IMODE(output.fresh.stat().st_mode) == 0o600
    output.fresh.chmod(0o444)
    is_refused(output(output.fresh), "is write-protected")


@pytest.mark.parametrize("name", ["job.yaml", "machine.yaml", "journal.db"])
def test_what_a_job_lives_by_is_no_output(sequencer, write, tmp_path, name):
    folder = tmp_path / "job"
    assert sequencer("new", folder, "--machine", write(MACHINE), *OFF).code == 0
    before = (folder / name).read_bytes()
    ran = sequencer("export", folder, "--format", "csv", "-o", folder / name)
    is_refused(ran, f"{name} is one of a job's own files")
    assert (folder / name).read_bytes() == before


def test_a_pace_file_is_written_by_the_same_rules(sequencer, write, tmp_path, monkeypatch):
    from sequencer.job.learning import learning
    from sequencer.job.learning.pace import KindPace, PersonalPace

    monkeypatch.setattr(
        learning, "new_pace", lambda *_: PersonalPace("", (), {"screw": KindPace(Fraction(6, 5), 5)})
    )
    folder, kept, link = tmp_path / "job", tmp_path / "kept.toml", tmp_path / "link.toml"
    assert sequencer("new", folder, "--machine", write(MACHINE), *OFF).code == 0
    link.symlink_to(kept)
    ran = sequencer("learn", "--job", folder, "--write", "p", "--pace-file", link)
    assert ran.code == 0, ran.err
    assert link.is_symlink()
    assert "factor = 1.2" in kept.read_text(encoding="utf-8")
    ran = sequencer("learn", "--job", folder, "--write", "p", "--pace-file", kept, "--into", kept)
    is_refused(ran)
    assert "factor = 1.2" in kept.read_text(encoding="utf-8")


def test_no_output_is_forgotten_here():
    commands = get_command(app).commands
    found = {name for name, one in commands.items() for param in one.params if param.name in WRITTEN}
    assert found == {words[0] for words, _ in OUTPUTS.values()} | {"learn"}


@pytest.mark.parametrize("command", ["sheet", "tags"])
@pytest.mark.parametrize("name", ["a.doc", "a.svg", "a.pdf.txt"])
def test_a_pdf_under_another_name_is_refused(sequencer, write, tmp_path, command, name):
    ran = sequencer(command, write(MACHINE), *OFF, "-o", tmp_path / name)
    is_refused(ran, f"{name}: can't tell the kind of file from its name; end the name in .pdf")
    assert not (tmp_path / name).exists()


# ---- What is printed ----

PRINTED = [
    ("plan", None, *OFF), ("plan", None, *OFF, "--json"), ("refit", None, *OFF), ("check", None),
    ("blockers", None, *OFF), ("scan", None), ("schema",), ("parts", None, *OFF),
    ("parts", None, *OFF, "--format", "csv"), ("tools", None, *OFF), ("export", None, *OFF),
    ("export", None, *OFF, "--format", "csv"), ("export", None, *OFF, "--format", "md"),
    ("torque", "9 N.m", "--to", "lbf.in"), ("--version",), ("--help",), ("plan", "--help"),
]  # fmt: skip


@before_landing
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no /dev/full")
@pytest.mark.parametrize("words", PRINTED, ids=lambda words: " ".join(filter(None, words)))
def test_a_full_disk_behind_what_is_printed_is_said_once(sequencer, write, monkeypatch, words):
    machine = write(MACHINE)
    with open("/dev/full", "w", encoding="utf-8") as full:  # noqa: PTH123 - as a shell opens it
        monkeypatch.setattr(sys, "stdout", full)
        ran = sequencer(*(machine if word is None else word for word in words))
    is_refused(ran, "what this prints can't be written: No space left on device; make room")


RUN = [sys.executable, "-c", "from sequencer.cli.app import main; main()"]
ENDS = ("> /dev/full", ">&-", "> /dev/full 2> /dev/full")


@before_landing
def test_nothing_more_is_said_when_the_process_ends(write):
    for shell in counts(quick=ENDS[:1], landing=ENDS, nightly=ENDS):
        line = f'"$0" "$@" {shell}'
        done = subprocess.run(
            ["sh", "-c", line, *RUN, "check", write(MACHINE)], capture_output=True, text=True, check=False
        )
        assert done.returncode == (2 if "full" in shell else 0)
        assert done.stderr.count("\n") == (1 if shell == "> /dev/full" else 0), done.stderr


@before_landing
def test_an_output_on_standard_output_is_whole_and_alone(sequencer, write, tmp_path, monkeypatch):
    kept = tmp_path / "kept.pdf"
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780272000")
    sheet = ["sheet", write(MACHINE), *OFF, "-o"]
    assert sequencer(*sheet, kept).code == 0
    words = [*RUN, *sheet, "/dev/stdout"]
    piped = subprocess.run(words, check=True, capture_output=True)
    assert piped.stdout == kept.read_bytes()
    assert b"way in: Proven" in piped.stderr
    if PROFILE == "quick":
        return
    with (tmp_path / "file").open("wb") as file:
        subprocess.run(words, check=True, stdout=file)
    assert (tmp_path / "file").read_bytes() == kept.read_bytes()
