"""A machine file for others: one text that needs no other file, with a head that says from whom it is."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from textwrap import wrap
from typing import Any

from sequencer.document.sharing import shared_head
from sequencer.errors import SequencerError
from sequencer.job.learning.track_record import TrackRecord
from sequencer.machine.expand import as_text, read_whole
from sequencer.machine.model import Part
from sequencer.machine.reader.repeat import SECTIONS
from sequencer.machine.reading import load, read_text

_LINE = 106


def shared_text(path: Path, who: str, on: date, done: TrackRecord, *, notes: bool = False) -> str:
    """The machine file at ``path`` as one text: what it includes and repeats written out, no link left in it.

    A shape in a file becomes the box around it; where that can't be read here, the part has none.

    Raises:
        MachineFileError: It has errors.
    """
    machine = load(path)
    _, written = read_whole(path)
    data = dict(written.tree.data)
    data.pop("include", None)
    data.pop("repeat", None)
    shapes = [name for name, part in machine.parts.items() if part.mesh is not None]
    data["parts"] = {
        name: _unlinked(machine.parts[name], about, path.parent) if name in shapes else about
        for name, about in data["parts"].items()
    }
    if not notes:
        for section in SECTIONS:
            if isinstance(data.get(section), dict):
                data[section] = {name: _without_notes(about) for name, about in data[section].items()}
    head = shared_head(machine, who, on, done, notes=notes, shapes=shapes)
    text = as_text(data, comments(head))
    reading = read_text(text, path.name)
    assert reading.machine is not None, reading.faults
    return text


def comments(lines: Any) -> list[str]:  # noqa: ANN401 - lines of text
    """Lines as comments, wrapped."""
    return [
        f"# {piece}"
        for line in lines
        for piece in wrap(line, _LINE, subsequent_indent="  ", break_on_hyphens=False, break_long_words=True)
    ]


def _unlinked(part: Part, about: Mapping[str, Any], folder: Path) -> dict[str, Any]:
    """A part with the box around its shape instead of that; with neither where it can't be read."""
    from sequencer.graph.geometry.meshes import shape_of_mesh

    kept = {key: one for key, one in about.items() if key not in ("mesh", "mesh_unit")}
    assert part.mesh is not None
    try:
        shape, _ = shape_of_mesh(folder, part.mesh, 0.1, part.place)
    except SequencerError:
        return {key: one for key, one in kept.items() if key != "out"}
    low, size = ([f"{float(one):.1f}" for one in of] for of in (shape.low, shape.high - shape.low))
    return {**kept, "box": {"at": low, "size": [max(one, "0.1", key=float) for one in size]}}


def _without_notes(about: Any) -> Any:  # noqa: ANN401 - whatever the file has there
    """An entry of a section without its own note and those of its joints."""
    if not isinstance(about, dict):
        return about
    kept = {key: one for key, one in about.items() if key != "note"}
    if isinstance(joints := kept.get("joints"), dict):
        kept["joints"] = {name: _without_notes(one) for name, one in joints.items()}
    return kept
