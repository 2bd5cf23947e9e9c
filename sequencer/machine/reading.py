"""From a machine file to a machine, or to all its faults at once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path

from sequencer.machine.faults import Fault, Faults, MachineFileError
from sequencer.machine.model import Machine
from sequencer.machine.source import check_text, read_source

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
    return Reading(None, faults.sorted()) if text is None else _read(text, named or str(path), faults)


def read_text(text: str, name: str = "machine.yaml") -> Reading:
    """Read a machine file's text; ``name`` is what messages call it."""
    faults = Faults()
    checked = check_text(text, name, faults)
    return Reading(None, faults.sorted()) if checked is None else _read(checked, name, faults)


def load(path: Path, named: str = "") -> Machine:
    """The machine that the file at ``path`` describes; messages call it ``named``, or by its path.

    Raises:
        MachineFileError: The file has errors; they are all in it.
    """
    reading = read(path, named)
    if reading.machine is None:
        raise MachineFileError(reading.faults)
    return reading.machine


def _read(text: str, name: str, faults: Faults) -> Reading:
    """What a text comes to; a fault that a beginner's slip has made is told as that."""
    found = _read_as_it_is(text, name, faults)
    if found.machine is not None:
        revision = sha256(text.encode()).hexdigest()[:REVISION]
        return replace(found, machine=replace(found.machine, revision=revision))
    from sequencer.machine.beginner import told_plainly

    told = told_plainly(text, found.faults, lambda new: _read_as_it_is(new, name, Faults()).faults)
    return Reading(None, told)


def _read_as_it_is(text: str, name: str, faults: Faults) -> Reading:
    from sequencer.machine.build import build
    from sequencer.machine.checks import check
    from sequencer.machine.repeat import write_out
    from sequencer.machine.scope import Scope
    from sequencer.machine.validate import validate
    from sequencer.machine.yaml_tree import compose

    written = write_out(compose(text, name, faults), faults)
    if written is None:
        return Reading(None, faults.sorted())
    tree = written.tree
    entry = validate(tree, faults)
    if entry is None:
        return Reading(None, faults.sorted())
    scope = Scope(entry, tree, faults)
    check(scope)
    return Reading(None if faults.fatal else build(scope), faults.sorted())
