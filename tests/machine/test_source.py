"""Files that are no machine files: one clear fault each, and soon."""

import os
import time
from pathlib import Path

import pytest

from sequencer.errors import SequencerError
from sequencer.machine import MachineFileError, load, read, read_text
from tests.machine.texts import PAGE, SMALL


def only_fault(path) -> str:
    began = time.monotonic()
    reading = read(path)
    assert time.monotonic() - began < 30  # it does not wait for a pipe
    assert reading.machine is None
    (fault,) = reading.faults
    return str(fault).removeprefix(f"{path}:")


@pytest.mark.parametrize(
    ("content", "fault"),
    [
        (b"", "1:1: the file is empty; begin it with machine: and the machine's name"),
        (
            b"machine: x\n\0\0",
            "2:1: this is not text: it has a zero byte; give a machine file, written as plain text",
        ),
        (b"\x7fELF\x02\x01\x01\0\0\0", "1:1: this is not text: it has a zero byte; "),
        (b"machine: caf\xe9\n", "1:13: this is not UTF-8: byte 12 is 0xe9; save the file as UTF-8"),
        (b"a: b\nc: \xff\n", "2:4: this is not UTF-8: byte 8 is 0xff; save the file as UTF-8"),
        ("machine: x".encode("utf-16"), "1:1: the file is in UTF-16; save it as UTF-8"),
        (b"a: b\nc: \x1b[31m\n", "2:4: there is a control character in the text (U+001B); take it out"),
        (b"\x89PNG\r\n\x1a\n\xff\xd8", "1:1: this is not UTF-8: byte 0 is 0x89; "),
    ],
)
def test_what_is_not_text_is_refused_where_it_stops_being_text(tmp_path, content, fault):
    path = tmp_path / "machine.yaml"
    path.write_bytes(content)
    assert only_fault(path).startswith(fault)


def test_a_hundred_megabytes_are_refused_by_their_size(tmp_path):
    path = tmp_path / "big.yaml"
    with path.open("wb") as file:
        file.truncate(100 * 1024 * 1024)
    assert only_fault(path).startswith(
        "1:1: the file is 102,400 KiB long; a machine file has at most 512 KiB; "
    )


def test_folders_devices_and_pipes_are_not_opened(tmp_path):
    assert only_fault(tmp_path) == "1:1: this is a folder; give a machine file in it"
    os.mkfifo(tmp_path / "pipe")
    assert (
        only_fault(tmp_path / "pipe") == "1:1: this is not a file but a device or a pipe; give a machine file"
    )
    assert only_fault(Path("/dev/zero")).startswith("1:1: this is not a file but a device or a pipe; ")


def test_a_missing_file_is_said_with_the_one_that_is_spelt_alike(tmp_path):
    (tmp_path / "pump.yaml").write_text("machine: x\n")
    near = tmp_path / "pmup.yaml"
    assert only_fault(near) == "1:1: there is no such file; did you mean pump.yaml?"
    assert only_fault(tmp_path / "no" / "where") == "1:1: there is no such file; check the path"
    assert "can't be read" in only_fault(tmp_path / ("x" * 300))


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_file_that_may_not_be_read_is_said_so(tmp_path):
    path = tmp_path / "secret.yaml"
    path.write_text(SMALL)
    path.chmod(0)
    assert only_fault(path) == "1:1: the file may not be read; give yourself permission to read it"


def test_byte_order_marks_and_foreign_line_ends_are_fine(tmp_path):
    path = tmp_path / "machine.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + SMALL.replace("\n", "\r\n").encode())
    assert load(path).name == "Small machine"


def test_umlauts_and_other_scripts_are_fine():
    text = SMALL.replace("Small machine", "Überdruck 泵 насос 🔧").replace("motor", "двигатель")
    assert read_text(text).machine.parts["двигатель"].loose is not None


def test_loading_raises_one_error_with_every_fault(tmp_path):
    path = tmp_path / "machine.yaml"
    path.write_text(SMALL + "  x: {weight: 3, joints: {a: {kind: clpi}}, behind: [gaurd]}\n")
    with pytest.raises(MachineFileError) as caught:
        load(path)
    assert isinstance(caught.value, SequencerError)
    lines = str(caught.value).splitlines()
    assert len(lines) == len(caught.value.faults) == 3
    assert lines[0] == f"{path}:11:15: 3 has no unit; a weight needs one; write it like 14 kg, 800 g or 30 lb"
    assert lines[1].startswith(f"{path}:11:37: warning: `clpi` is not a kind of joint")
    assert lines[2] == f"{path}:11:54: there is no part `gaurd`; did you mean `guard`?"


def test_loading_a_good_file_gives_its_machine():
    assert load(PAGE).name == "Bench pump, two stage"
