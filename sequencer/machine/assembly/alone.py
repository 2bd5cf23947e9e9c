"""An assembly by itself, to check and to draw it: in a machine that has only what must be given to it."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

from sequencer.machine.assembly.including import include
from sequencer.machine.assembly.parameters import Parameter, example, parameters_of
from sequencer.machine.assembly.shelf import ENDINGS, beside, library
from sequencer.machine.faults import Fault, Faults
from sequencer.machine.library import find
from sequencer.machine.reader.repeat import WrittenOut
from sequencer.machine.reader.source import read_source
from sequencer.machine.reader.yaml_tree import Tree, compose
from sequencer.machine.reading import Reading, read_written
from sequencer.machine.written_out import is_assembly
from sequencer.wording import capital

_SECTIONS = {"position": "positions", "tool": "tools", "fluid": "fluids", "task": "tasks"}


def alone(path: Path) -> Reading | None:
    """What an assembly comes to by itself; ``None``: there is none at ``path``.

    Its names are those that its file has. What has to be given is there, is called ``<name>`` as the file
    writes it, and labelled by what it is. ``path`` is its file, or the bare name of one of the library
    that no file and no machine has. Its faults are told at its own lines.
    """
    file, name = _where(path)
    noted = Faults()
    text = read_source(file, noted) if file.is_file() else None
    tree = None if text is None else compose(text, str(file), noted)
    if tree is None or not is_assembly(tree):
        return None
    around, called = json.dumps(_around(tree, name), ensure_ascii=False), str(file)
    faults = Faults()
    outside = WrittenOut(compose(around, called, faults), {})
    found = read_written(include(outside, beside(called, file.parent), faults, bare=True), around, faults)
    return replace(found, faults=tuple(map(_own, found.faults)))


def _own(fault: Fault) -> Fault:
    """A fault without where it is included, which nobody has written."""
    return replace(fault, place=replace(fault.place, within=""))


def _where(path: Path) -> tuple[Path, str]:
    """Its file, and how a machine file beside it names it."""
    shipped = library() / f"{path.name}.yaml"
    if find(path) == path and not path.exists() and len(path.parts) == 1 and shipped.is_file():
        return shipped, path.name
    return path, path.name if path.name.endswith(ENDINGS) else f"./{path.name}"


def _around(tree: Tree, name: str) -> dict[str, Any]:
    """The machine file that has it and nothing else."""
    given: dict[str, Any] = {}
    machine: dict[str, Any] = {"machine": str(tree.data["assembly"])}
    for one in parameters_of(tree, Faults()).values():
        if one.required:
            given[one.name] = _given(one, machine)
    made = {} if name.endswith(ENDINGS) else {"version": tree.data.get("version")}
    lies = {"frame": [0, 0, 0]} if "frame" in tree.data else {}
    machine["include"] = [{"assembly": name, **made, "as": "bare", **lies, "with": given}]
    return machine


def _given(one: Parameter, machine: dict[str, Any]) -> object:
    """A value for a parameter that has no default; what it names is put into the machine."""
    called = f"<{one.name}>"
    label = {"label": capital(one.about)} if one.about else {}
    if one.kind in _SECTIONS:
        undo: dict[str, Any] = {"undo": {}} if one.kind == "task" else {}
        machine.setdefault(_SECTIONS[one.kind], {})[called] = {**label, **undo}
    elif one.kind in ("part", "joint", "needs"):
        joints = {"it": {"kind": "clip"}} if one.kind == "joint" else {}
        machine.setdefault("parts", {})[called] = {**label, "joints": joints}
        return f"{called}/it" if one.kind == "joint" else called
    else:
        return example(one)
    return called
