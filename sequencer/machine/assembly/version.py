"""With which version of an assembly a machine file was made, and which there is."""

from __future__ import annotations

from sequencer.machine.assembly.shelf import Source
from sequencer.machine.faults import Faults, quote
from sequencer.machine.reader.yaml_tree import Path, Tree
from sequencer.machine.schema.include_entry import IncludeEntry


def check_version(item: IncludeEntry, tree: Tree, path: Path, source: Source, faults: Faults) -> None:
    """Say where a file was made with another version of the assembly than there is.

    Args:
        item: The include, which ``tree`` has at ``path``.
        tree: The file that includes.
        path: Where in it.
        source: The assembly.
        faults: Are told.
    """
    assembly = source.tree
    assert assembly is not None
    raw, name, made = assembly.data.get("version"), quote(item.assembly), item.version
    here = tree.place((*path, "version"))
    now = int(raw) if isinstance(raw, str) and raw.isdecimal() and len(raw) < 6 else None
    if now is None:
        if raw is not None or source.spot.ours:
            where = assembly.place(("version",), key=True)
            faults.error(where, "the version is not a whole number", "write version: 1")
        elif made is not None:
            faults.warning(here, f"`{name}` says no version", "write version: in it, or take it out here")
    elif made is None and source.spot.ours:
        problem = f"this does not say which version of `{name}` it was made with"
        remedy = f"write version: {now}; then a later one can't change this machine unsaid"
        faults.warning(tree.place(path), problem, remedy)
    elif made is not None and made > now:
        problem = f"this was made with version {made} of `{name}`, and here is version {now}"
        faults.error(here, problem, "bring the program, or that file, up to date")
    elif made is not None and made < now:
        changes = assembly.data.get("changes")
        said = changes if isinstance(changes, dict) else {}
        told = [f"{one}: {said[str(one)]}" for one in range(made + 1, now + 1) if str(one) in said]
        what = f" ({'; '.join(told)})" if told else ""
        problem = f"this was made with version {made} of `{name}`, and here is version {now}{what}"
        faults.warning(here, problem, f"look whether it still fits, then write version: {now}")
