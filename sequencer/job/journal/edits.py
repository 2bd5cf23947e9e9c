"""Changes to a machine file as plain data, so that an event can carry them.

The journal is what counts: an event holds what it changes in the job's copy of the machine file, and the file
follows. A kill between the two leaves the file behind, and the next look at it brings it up. Each change says
how the file is afterwards, so that making it twice is making it once.

    ["add", path, value, comment]      a part, a joint, a task: something with a name that is not there yet
    ["entry", path, value, comment]    one more entry of a list, of ``behind`` for example
    ["before", path, value, next]      an entry of a list, and the one that it goes before (None: all of them)
    ["instead", path, value, former]   an entry of a list, and the one that it stands instead of
    ["set", path, value, former]       a value, and what stood there before (None: nothing, of both)

A file holds texts where an event has numbers: both are compared as a file would have them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sequencer.errors import SequencerError
from sequencer.machine.model import Subject

if TYPE_CHECKING:
    from sequencer.job.journal.events import Event
    from sequencer.machine.edit import Editor
    from sequencer.machine.reading import Reading

Edit = Sequence[Any]
EDITS = "edits"
"""The key of an event's body that holds its changes."""

DIFF = "text"
"""The key that holds the lines which they changed when they were made."""


def owner_path(where: str) -> list[str]:
    """The path of a part or of ``part/joint``."""
    about = Subject(where)
    return ["parts", about.part, *(["joints", about.joint] if about.joint else [])]


def make(editor: Editor, edit: Edit) -> None:
    """Bring one change into the text, if it is not there.

    Raises:
        EditError: The file has no place for it any more.
    """
    from sequencer.machine.edit.emit import plain

    what, path, value, more = edit
    where, new = tuple(path), plain(value)
    there = editor.value(where)
    if what == "add" and there is None:
        if where[0] == "parts" and len(where) == 2:
            editor.add_part(where[1], value, comment=more)
        else:
            editor.set_value(where, value, more)
    elif what == "entry" and new not in _entries(there):
        editor.append(where, value, more)
    elif what == "before" and new not in (entries := _entries(there)):
        editor.insert(where, value, more if plain(more) in entries else None)
    elif what == "instead" and new not in _entries(there):
        _put_instead(editor, where, value, more)
    elif what == "set" and there != new:
        if value is None:
            editor.remove(where)
        else:
            editor.set_value(where, value)
    elif what not in ("add", "entry", "before", "instead", "set"):
        raise SequencerError(f"the journal has a change of an unknown kind, {what!r}", "update this program")


def take_back(editor: Editor, edit: Edit) -> None:
    """Take one change out of the text, if it is there."""
    from sequencer.machine.edit.emit import plain

    what, path, value, more = edit
    where, new = tuple(path), plain(value)
    there = editor.value(where)
    if there is None and (new is not None or editor.value(where[:-1]) is None):
        return
    if what == "add":
        editor.remove(where)
    elif what in ("entry", "before") and new in (entries := _entries(there)):
        editor.remove(where if len(entries) == 1 else (*where, entries.index(new)))
    elif what == "instead" and new in _entries(there):
        _put_instead(editor, where, more, value)
    elif what == "set" and there == new:
        if more is None:
            editor.remove(where)
        else:
            editor.set_value(where, more)


def _put_instead(editor: Editor, where: tuple[Any, ...], value: object, former: object) -> None:
    """Put an entry of a list in the place of another; at the end where that is not there."""
    from sequencer.machine.edit.emit import plain

    entries, old = _entries(editor.value(where)), plain(former)
    if old not in entries:
        editor.append(where, value)
    elif len(entries) == 1:
        editor.set_value(where, [value])
    else:
        editor.set_value((*where, entries.index(old)), value)


@dataclass(frozen=True)
class MachineFile:
    """A job's machine file: where it is, and what messages call it."""

    path: Path
    name: str


def changed(file: MachineFile, edits: Iterable[Edit]) -> Editor:
    """An editor on the file with these changes in it, not yet saved.

    Raises:
        EditError: One of them finds no place.
    """
    from sequencer.machine.edit import Editor

    editor = Editor(file.path, named=file.name)
    for edit in edits:
        make(editor, edit)
    return editor


def as_told(file: MachineFile, content: bytes, events: Sequence[tuple[Event, bool]]) -> tuple[bytes, Reading]:
    """What a machine file comes to under these events, each with whether it stands, and how that reads.

    Raises:
        MachineFileError: The file is no YAML as a machine file has it.
        EditError: A change finds no place in it any more.
    """
    from sequencer.machine.edit import Editor
    from sequencer.machine.reading import read_text

    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError:
        text = Editor(file.path, named=file.name).text  # it says what is wrong, and where
    editor = Editor(text=text, folder=file.path.parent)
    standing = [edit for event, stands in events if stands for edit in event.body[EDITS]]
    for event, stands in reversed(events):
        if not stands:
            editor = _taken_back(editor, event, standing, file.path.parent)
    for edit in standing:
        make(editor, edit)
    return editor.content, read_text(editor.text, file.name, file.path.parent)


def _taken_back(editor: Editor, event: Event, standing: Sequence[Edit], folder: Path) -> Editor:
    """A file without what an event put into it, and no event that stands put there as well.

    Where its lines stand as it put them they go as they came, comments and blanks too; unless something else
    would change with them, since the lines are another event's by now.
    """
    from sequencer.machine.edit import Editor
    from sequencer.machine.faults import MachineFileError

    text = editor.content.decode("utf-8")
    as_it_was = without(text, str(event.body.get(DIFF, "")))
    for edit in reversed(event.body[EDITS]):
        if not any(_same_again(edit, other) for other in standing):
            take_back(editor, edit)
    if as_it_was == text:
        return editor
    try:
        whole = Editor(text=as_it_was, folder=folder)
    except MachineFileError:
        return editor
    own = [tuple(map(str, path)) for _, path, _, _ in event.body[EDITS]]
    return whole if _besides(whole.value(()), own) == _besides(editor.value(()), own) else editor


def _besides(value: object, paths: Sequence[Sequence[str]]) -> object:
    """A value of a file without what stands at these paths, and without what is empty."""
    if not isinstance(value, dict):
        return value
    kept = {}
    for key, one in value.items():
        below = [path[1:] for path in paths if path[0] == str(key)]
        rest = None if () in below else _besides(one, below)
        if rest not in (None, {}, []):
            kept[key] = rest
    return kept


def _same_again(edit: Edit, other: Edit) -> bool:
    """Whether a change that was taken back was made once more: it is there for that one now."""
    what, path, value, _ = edit
    named = what == "add" or list(map(str, other[2:3])) == [str(value)]
    return other[0] == what != "instead" and list(other[1]) == list(path) and named


def without(text: str, diff: str) -> str:
    """``text`` as it was before a unified diff without context, comments and blanks included.

    Where the lines that the diff put in do not stand where it put them, the text is returned as it is.
    """
    lines = text.split("\n")
    hunks = re.findall(r"^@@ -\S+ \+(\d+)(?:,(\d+))? @@\n((?:[-+].*(?:\n|\Z))*)", diff, re.MULTILINE)
    for start, count, body in reversed(hunks):
        old = [line[1:] for line in body.splitlines() if line.startswith("-")]
        new = [line[1:] for line in body.splitlines() if line.startswith("+")]
        first = int(start) - (1 if int(count or 1) else 0)
        if lines[first : first + len(new)] != new:
            return text
        lines[first : first + len(new)] = old
    return "\n".join(lines)


def _entries(value: object) -> list[Any]:
    if value is None:
        return []
    return list(value) if isinstance(value, list) else [value]
