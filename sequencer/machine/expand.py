"""A machine file as one plain text: what it includes and says once for several, written out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from sequencer.machine.faults import Faults, MachineFileError
from sequencer.machine.reading import load
from sequencer.machine.schema.include_entry import INCLUDE
from sequencer.machine.source import read_source

if TYPE_CHECKING:
    from sequencer.machine.repeat import WrittenOut

_LEFT_OUT = (INCLUDE, "repeat")


@dataclass(frozen=True)
class Expanded:
    """A machine file as one text: the text, and the files that it was made of besides."""

    text: str
    files: tuple[Path, ...]


def expanded(path: Path, named: str = "") -> Expanded:
    """The file at ``path``, which messages call ``named``, as one text that means the same.

    Raises:
        MachineFileError: It has errors; they are all in it.
    """
    from sequencer.machine.whole import whole
    from sequencer.machine.yaml_tree import compose

    load(path, named)
    faults = Faults()
    name = named or str(path)
    text = read_source(path, faults, name)
    written = None if text is None else whole(compose(text, name, faults), faults, path.parent)
    if written is None:  # it was changed just now
        raise MachineFileError(faults.sorted())
    lines = [*_head(path.name, written), *_body(written)]
    return Expanded("\n".join(lines) + "\n", tuple(dict.fromkeys(made.path for made in written.made_of)))


def written_out(text: str, folder: Path | None = None) -> str:
    """A text without errors with all that it includes or says once for several written out.

    Files that it includes lie in ``folder``.
    """
    from sequencer.machine.whole import whole
    from sequencer.machine.yaml_tree import compose

    faults = Faults()
    tree = compose(text, "the machine", faults)
    if not isinstance(tree.data, dict) or tree.data.keys().isdisjoint(_LEFT_OUT):
        return text
    written = whole(tree, faults, folder)
    return text if written is None else "\n".join(_body(written)) + "\n"


def _head(name: str, written: WrittenOut) -> list[str]:
    """Comments that say what the text was made from."""
    made = [
        f"#   {one.prefix}: {one.assembly}{f', version {one.version}' if one.version else ''}"
        for one in written.made_of
    ]
    return [
        f"# Written out from {' '.join(name.split())}{', with these assemblies:' if made else '.'}",
        *made,
    ]


def _body(written: WrittenOut) -> Iterator[str]:
    from sequencer.machine.checks.typical_checks import JOBS
    from sequencer.machine.edit.emit import block
    from sequencer.machine.repeat import SECTIONS

    for key, value in written.tree.data.items():
        if key in (*SECTIONS, JOBS) and isinstance(value, dict) and value:
            yield f"{key}:"
            for name, about in value.items():
                yield from block(name, about, 2, spread=key == "parts")
        elif key not in _LEFT_OUT:
            yield from block(key, value, 0)


def self_contained(path: Path, content: bytes) -> bytes:
    """``content``, which the file at ``path`` has, if it includes nothing; or else all that it comes to.

    Raises:
        MachineFileError: It includes something, and has errors.
    """
    return expanded(path).text.encode() if INCLUDE.encode() in content and _includes(content) else content


def _includes(content: bytes) -> bool:
    from sequencer.machine.edit.layout import Layout

    try:
        return Layout(content.decode("utf-8-sig")).node((INCLUDE,)) is not None
    except Exception:  # noqa: BLE001 - whatever it is, whoever reads it says what is wrong with it
        return False
