"""The type that a file is made from: where it is, which version, its text."""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from sequencer.errors import SequencerError
from sequencer.machine import MachineFileError, load, read_text
from sequencer.machine.expand import self_contained
from sequencer.machine.faults import nearest
from sequencer.machine.library import find, folder
from sequencer.machine.model import Machine

_VERSION = 8
"""Letters by which one state of a type's file is told from another."""


@dataclass(frozen=True)
class TypeFile:
    """A machine file that others are made from.

    Attributes:
        named: What it is called: ``delivery-van``, or the name of a file.
        again: By which it is found again from anywhere.
        text: Its text, which includes nothing from beside it.
        machine: What it says.
    """

    named: str
    again: str
    version: str
    text: str
    machine: Machine


def type_called(name: str) -> TypeFile:
    """The shipped machine of that name, or the file at that path.

    Raises:
        SequencerError: There is none.
        MachineFileError: Its file has errors.
    """
    path = find(Path(name))
    if not path.is_file():
        shipped = sorted(one.stem for one in folder().glob("*.yaml"))
        near = nearest(name, shipped)
        raise SequencerError(
            f"there is no type `{name}`",
            f"did you mean {near}?" if near else f"name a file, or one of the library: {', '.join(shipped)}",
        )
    machine = load(path)
    content = path.read_bytes()
    text = content.decode("utf-8-sig")
    if read_text(text, path.name).machine is None:  # it includes what lies beside it
        text = self_contained(path, content).decode("utf-8")
    plain = read_text(text, path.name)
    if plain.machine is None:
        raise MachineFileError(plain.faults)
    shown, again = (path.stem, path.stem) if path.parent == folder() else (path.name, str(path.resolve()))
    return TypeFile(shown, again, sha256(content).hexdigest()[:_VERSION], text, machine)
