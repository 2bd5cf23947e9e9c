"""The portable code with what Windows and macOS lack or refuse taken away. Nothing here ran on either."""

import codecs
import io
import json
import os
import re
import shutil
import signal
import sys
from pathlib import Path

import pytest

from sequencer.errors import SequencerError
from sequencer.job.changes.begin import own_name
from sequencer.job.learning.pace import own_file
from sequencer.machine.edit import atomic
from sequencer.machine.edit.atomic import replace_file
from tests.support.profile import before_landing

MACHINE = """\
machine: Box with a lid of 5 Ω, invented
parts:
  lid: {joints: {screws: {kind: screw, head: T25, count: 4, time: 8 s, torque: 4 N.m}}}
  con: {behind: [lid], joints: {clip: {kind: clip}}}
"""
LACKING = {
    os: ("fchmod", "umask", "chown", "fork", "mkfifo", "setsid", "killpg"),
    signal: ("SIGHUP", "SIGKILL", "SIGALRM", "SIGUSR1", "SIGCHLD"),
}
NO_MODULES = ("fcntl", "pwd", "grp", "termios", "tty", "resource")


@pytest.fixture
def elsewhere(monkeypatch):
    """Calls refuse as they do on Windows: folders can't be opened, nothing is renamed over what is there."""
    opened, renamed = os.open, os.rename

    def no_folders(path, *rest, **named):
        if not isinstance(path, int) and Path(os.fsdecode(path)).is_dir():
            raise PermissionError(13, "Permission denied", os.fsdecode(path))
        return opened(path, *rest, **named)

    def only_to_what_is_free(source, target, **named):
        if Path(target).exists():
            raise FileExistsError(17, "Cannot create a file when that file already exists", str(target))
        return renamed(source, target, **named)

    for module, names in LACKING.items():
        for name in names:
            monkeypatch.delattr(module, name, raising=False)
    for name in NO_MODULES:
        monkeypatch.setitem(sys.modules, name, None)
    monkeypatch.setattr(os, "open", no_folders)
    monkeypatch.setattr(os, "rename", only_to_what_is_free)
    monkeypatch.setattr(shutil, "_use_fd_functions", False)


@before_landing
@pytest.mark.usefixtures("elsewhere")
def test_a_job_lives_without_what_only_some_systems_have(sequencer, write, tmp_path):
    folder = tmp_path / "job"
    folder.mkdir()  # empty: taken, but not renamed over
    acts = [
        ("new", folder, "--machine", write(MACHINE), "--off", "con"),
        ("done", "1-2", "--job", folder), ("undo", "2", "--job", folder), ("note", "dirty", "--job", folder),
        ("found", "stay", "--blocks", "con", "--held", "bolt 10", "--job", folder),
        ("status", "--job", folder), ("record", "--csv", "--job", folder), ("log", "--job", folder),
        ("tags", folder, "-o", tmp_path / "tags.pdf"), ("export", folder, "-o", tmp_path / "job.json"),
    ]  # fmt: skip
    for act in acts:
        ran = sequencer(*act)
        assert ran.code == 0, (act, ran.err)
    assert json.loads((tmp_path / "job.json").read_text(encoding="utf-8"))["ticked"]
    assert not [entry for entry in tmp_path.iterdir() if entry.name.startswith(".")]


@pytest.mark.usefixtures("elsewhere")
def test_a_job_that_can_not_be_made_leaves_nothing_there_either(sequencer, write, tmp_path, monkeypatch):
    from sequencer.job.journal.journal import Journal

    def full(self, events):
        raise SequencerError("the disk is full", "make room")

    machine = write(MACHINE)
    monkeypatch.setattr(Journal, "append", full)
    assert sequencer("new", tmp_path / "job", "--machine", machine, "--off", "con").code == 2
    assert [entry.name for entry in tmp_path.iterdir()] == [machine.name]


@before_landing
@pytest.mark.parametrize("encoding", ["cp1252", "cp437", "ascii"])
@pytest.mark.parametrize("form", ["json", "csv", "md"])
def test_an_export_into_a_pipe_is_utf_8_whatever_the_terminal_speaks(
    sequencer, write, tmp_path, monkeypatch, encoding, form
):
    words = ("export", write(MACHINE), "--off", "con")
    kept = tmp_path / f"kept.{form}"
    assert sequencer(*words, "-o", kept).code == 0
    pipe = io.TextIOWrapper(io.BytesIO(), encoding=encoding, newline="\r\n")
    monkeypatch.setattr(sys, "stdout", pipe)
    assert sequencer(*words, "--format", form).code == 0
    for_a_spreadsheet = codecs.BOM_UTF8 if form == "csv" else b""
    assert for_a_spreadsheet + pipe.buffer.getvalue() == kept.read_bytes()


@pytest.mark.parametrize("encoding", ["cp1252", "cp437"])
@pytest.mark.parametrize("words", [("plan",), ("refit",), ("parts",), ("tools",)], ids=lambda words: words[0])
def test_no_sign_is_too_much_for_a_terminal(sequencer, write, monkeypatch, encoding, words):
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding=encoding) for _ in range(2))
    monkeypatch.setattr(sys, "stdout", out)
    monkeypatch.setattr(sys, "stderr", err)
    assert sequencer(*words, write(MACHINE), "--off", "con").code == 0
    assert b"lid" in out.buffer.getvalue()


def held_open(error):
    fault = PermissionError(13, "The process cannot access the file because it is being used")
    fault.winerror = error
    return fault


@pytest.mark.parametrize("error", [5, 32])
def test_a_file_that_another_program_holds_for_a_moment_is_waited_for(tmp_path, monkeypatch, error):
    replace, tries = Path.replace, []

    def busy(self, target):
        tries.append(target)
        if len(tries) < 3:
            raise held_open(error)
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", busy)
    monkeypatch.setattr(atomic, "_PATIENCE", (0, 0, 0))
    replace_file(tmp_path / "a.txt", b"new")
    assert (tmp_path / "a.txt").read_bytes() == b"new"


def test_a_file_that_stays_held_is_said_and_left(tmp_path, monkeypatch):
    def busy(self, target):
        raise held_open(32)

    (tmp_path / "a.txt").write_bytes(b"old")
    monkeypatch.setattr(Path, "replace", busy)
    monkeypatch.setattr(atomic, "_PATIENCE", (0,))
    with pytest.raises(SequencerError, match="being used; close the program that has it open"):
        replace_file(tmp_path / "a.txt", b"new")
    assert [(entry.name, entry.read_bytes()) for entry in tmp_path.iterdir()] == [("a.txt", b"old")]


def test_a_reader_who_goes_is_no_fault_where_the_system_calls_it_one(sequencer, write, monkeypatch):
    class Gone(io.TextIOWrapper):
        def write(self, _text):
            raise OSError(22, "Invalid argument")

    machine = write(MACHINE)
    monkeypatch.setattr(sys, "stdout", Gone(io.BytesIO(), encoding="utf-8"))
    ran = sequencer("check", machine)
    assert (ran.code, ran.err) == (0, "")


ODD = [
    "con",
    "nul.yaml",
    "COM1.yaml",
    "aux .yaml",
    "a:b.yaml",
    "what?.yaml",
    "end.",
    "end ",
    "job.yaml",
    "JOB.YAML",
]


@pytest.mark.parametrize("name", ODD)
def test_names_that_the_program_gives_are_good_on_any_system(name):
    for given in (own_name(name), own_file(name).name):
        assert not re.search(r'[<>:"/\\|?*\x00-\x1f]|[. ]$', given)
        assert given.split(".")[0].strip().casefold() not in {"con", "nul", "com1", "aux"}
        assert given.casefold() not in {"job.yaml", "journal.db", "photos"}


def test_a_usual_name_is_kept():
    assert own_name("bench-pump.yaml") == "bench-pump.yaml"
