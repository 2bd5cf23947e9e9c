"""A machine file as one plain text: what it includes and says once for several, written out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sequencer.machine.faults import Faults, MachineFileError
from sequencer.machine.reader.source import read_source
from sequencer.machine.reading import load
from sequencer.machine.schema.include_entry import INCLUDE

if TYPE_CHECKING:
    from sequencer.machine.reader.repeat import WrittenOut

_LEFT_OUT = (INCLUDE, "repeat")


@dataclass(frozen=True)
class Expanded:
    """A machine file as one text: the text, and the files that it was made of besides."""

    text: str
    files: tuple[Path, ...]


def expanded(path: Path) -> Expanded:
    """The file at ``path`` as one text that means the same.

    A file that includes and repeats nothing stays as it is, with its comments.

    Raises:
        MachineFileError: It has errors; they are all in it.
    """
    text, written = read_whole(path)
    if _is_plain(text):
        return Expanded(text if text.endswith("\n") else f"{text}\n", ())
    files = tuple(dict.fromkeys(made.path for made in written.made_of))
    return Expanded(as_text(written.tree.data, _head(path.name, written)), files)


def read_whole(path: Path) -> tuple[str, WrittenOut]:
    """The text of the file at ``path``, and what it says, all written out.

    Raises:
        MachineFileError: It has errors; they are all in it.
    """
    from sequencer.machine.reader.yaml_tree import compose
    from sequencer.machine.written_out import whole

    load(path)
    faults = Faults()
    name = str(path)
    text = read_source(path, faults, name)
    written = None if text is None else whole(compose(text, name, faults), faults, path.parent)
    if text is None or written is None:  # it was changed just now
        raise MachineFileError(faults.sorted())
    return text, written


def as_text(data: Mapping[str, Any], head: Iterable[str] = ()) -> str:
    """What a machine file says, as a text in its style, below the comments of ``head``."""
    return "\n".join([*head, *_body(data)]) + "\n"


def written_out(text: str) -> str:
    """A text without errors with all that it includes or says once for several written out."""
    from sequencer.machine.reader.yaml_tree import compose
    from sequencer.machine.written_out import whole

    faults = Faults()
    tree = compose(text, "the machine", faults)
    if not isinstance(tree.data, dict) or tree.data.keys().isdisjoint(_LEFT_OUT):
        return text
    written = whole(tree, faults, None)
    return text if written is None else as_text(written.tree.data)


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


def _body(data: Mapping[str, Any]) -> Iterator[str]:
    from sequencer.machine.checks.typical_checks import JOBS
    from sequencer.machine.edit.emit import block
    from sequencer.machine.reader.repeat import SECTIONS

    for key, value in data.items():
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
    has_one = INCLUDE.encode() in content and _has(content.decode("utf-8-sig", "replace"), INCLUDE)
    return expanded(path).text.encode() if has_one else content


def _is_plain(text: str) -> bool:
    return not any(key in text and _has(text, key) for key in _LEFT_OUT)


def _has(text: str, key: str) -> bool:
    """Whether a file has this key at its top."""
    from sequencer.machine.edit.layout import Layout

    try:
        return Layout(text).node((key,)) is not None
    except Exception:  # noqa: BLE001 - whatever it is, whoever reads it says what is wrong with it
        return False
