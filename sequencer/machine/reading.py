"""From a machine file to a machine, or to all its faults at once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from sequencer.machine.faults import Fault, Faults, MachineFileError
from sequencer.machine.model import Machine
from sequencer.machine.reader.source import check_text, read_source

if TYPE_CHECKING:
    from sequencer.machine.reader.repeat import WrittenOut

REVISION = 8
"""Hexadecimal digits of a text's SHA-256 by which a print tells one state of a file from another."""


@dataclass(frozen=True)
class Reading:
    """What came of reading a machine file.

    Attributes:
        machine: The machine; ``None`` where there is any error.
        faults: Errors and warnings in the order of the file.
    """

    machine: Machine | None
    faults: tuple[Fault, ...]


def read(path: Path, named: str = "") -> Reading:
    """Read the machine file at ``path``. Whatever is in it, its faults come back; nothing is raised.

    ``named`` is what messages call it, where that is not its path.
    """
    faults = Faults()
    text = read_source(path, faults, named)
    if text is None:
        return Reading(None, faults.sorted())
    return _read(text, named or str(path), faults, path.parent)


def read_text(text: str, name: str = "machine.yaml", folder: Path | None = None) -> Reading:
    """Read a machine file's text; messages call it ``name``, and what it includes lies in ``folder``."""
    faults = Faults()
    checked = check_text(text, name, faults)
    return Reading(None, faults.sorted()) if checked is None else _read(checked, name, faults, folder)


def load(path: Path, named: str = "") -> Machine:
    """The machine that the file at ``path`` describes; messages call it ``named``, or by its path.

    Raises:
        MachineFileError: The file has errors; they are all in it.
    """
    reading = read(path, named)
    if reading.machine is None:
        raise MachineFileError(reading.faults)
    return reading.machine


def _read(text: str, name: str, faults: Faults, folder: Path | None) -> Reading:
    """What a text comes to; a fault that a beginner's slip has made is told as that."""
    found = _read_as_it_is(text, name, faults, folder)
    if found.machine is not None or any(fault.place.file != name for fault in found.faults):
        return found
    from sequencer.machine.reader.beginner import told_plainly

    told = told_plainly(text, found.faults, lambda new: _read_as_it_is(new, name, Faults(), folder).faults)
    return Reading(None, told)


def _read_as_it_is(text: str, name: str, faults: Faults, folder: Path | None) -> Reading:
    from sequencer.machine.reader.yaml_tree import compose
    from sequencer.machine.written_out import whole

    return read_written(whole(compose(text, name, faults), faults, folder), text, faults)


def read_written(written: WrittenOut | None, text: str, faults: Faults) -> Reading:
    """What a file comes to that is written out, ``text`` as it was; ``None`` after its faults were noted."""
    from sequencer.machine.building.build import build
    from sequencer.machine.checks.all_checks import check
    from sequencer.machine.reader.entries_of import validate
    from sequencer.machine.reader.scope import Scope

    if written is None:
        return Reading(None, faults.sorted())
    tree = written.tree
    entry = validate(tree, faults)
    if entry is None:
        return Reading(None, faults.sorted())
    scope = Scope(entry, tree, faults)
    check(scope)
    if faults.fatal:
        return Reading(None, faults.sorted())
    content = f"{text}{tree.data if written.made_of else ''}"
    revision = sha256(content.encode()).hexdigest()[:REVISION]
    return Reading(replace(build(scope), revision=revision), faults.sorted())
