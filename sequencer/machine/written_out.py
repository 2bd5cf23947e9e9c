"""What a machine file says in all: written out for all sides, and with what it includes."""

from __future__ import annotations

from pathlib import Path as FilePath

from sequencer.machine.faults import Faults
from sequencer.machine.reader.repeat import WrittenOut, write_out
from sequencer.machine.reader.yaml_tree import Tree
from sequencer.machine.schema.include_entry import INCLUDE


def whole(tree: Tree, faults: Faults, folder: FilePath | None) -> WrittenOut | None:
    """All that ``tree`` says; ``None`` where what it has under ``repeat`` or ``include`` can't be used.

    Files that it includes lie in ``folder``; ``None``: it lies nowhere, and has only the library.
    """
    if is_assembly(tree):
        problem = "this is an assembly, which machines include, and no machine by itself"
        remedy = (
            f"write in a machine file beside it: include: [{{assembly: {FilePath(tree.file).name}, as: x}}]"
        )
        faults.error(tree.place(("assembly",), key=True), problem, remedy)
        return None
    written = write_out(tree, faults)
    if written is None or not isinstance(tree.data, dict) or tree.data.get(INCLUDE) in (None, []):
        return written
    from sequencer.machine.assembly.including import include
    from sequencer.machine.assembly.shelf import beside

    return include(written, beside(tree.file, folder), faults)


def is_assembly(tree: Tree) -> bool:
    """Whether a file describes an assembly, which machines include."""
    return isinstance(tree.data, dict) and "assembly" in tree.data and "machine" not in tree.data
