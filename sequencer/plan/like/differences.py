"""What a machine has otherwise than its type, written into the type's text; its comments stay if they can.

Each function takes a text and returns the changed one. What nothing but the whole text can say, that a part
of an included assembly is not there, is said in the text with all that written out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Any

from sequencer.machine.assembly.fitting import Fit, fitted
from sequencer.machine.assembly.references import MISSED, REFERENCES, Keys, ReferenceKind
from sequencer.machine.edit import EditError, Editor
from sequencer.machine.expand import written_out
from sequencer.machine.faults import Faults
from sequencer.machine.model import Aim, Joint
from sequencer.machine.reader.yaml_tree import Path, compose
from sequencer.machine.trade.relations import UNDO, barring

OF_THE_FASTENER = ("torque", "stages", "order", "pattern", "source", "override", "thread", "class", "length")
"""Keys that say nothing of a fastener with another head: a figure holds for the one that it was given for."""

_OF_THE_NUMBER = ("at", "order")
"""Keys that have an entry for each fastener."""


def without(text: str, gone: str) -> str:
    """The machine without a part, or without a joint, ``part/joint``; nothing waits for it any more."""
    text = written_out(text)
    faults = Faults()
    data = compose(text, "the machine", faults).data
    fit = Fit("", "", {}, {}, frozenset({gone}), "", "")
    wanted = fitted(compose(text, "the machine", faults), fit, faults).data
    editor = Editor(text=text)
    for section in REFERENCES:
        for name, entry in (data.get(section) or {}).items():
            path: Path = (section, name)
            if name in wanted[section]:
                for where, value in _changes(entry, wanted[section][name], path):
                    _put(editor, where, value)
                _no_longer(editor, gone, path, REFERENCES[section])
            else:
                editor.remove(path)
    for name, job in (data.get("jobs") or {}).items():
        aims = job["off"] if isinstance(job["off"], list) else [job["off"]]
        left = [one for one in aims if Aim(one).part != gone]
        if len(left) < len(aims):
            _put(editor, ("jobs", name, "off") if left else ("jobs", name), left or None)
    return editor.text


def _changes(old: Any, new: Any, path: Path) -> Iterator[tuple[Path, Any]]:  # noqa: ANN401 - as a file has it
    """What has to be written: a shorter list, or nothing for what goes."""
    if isinstance(old, dict) and isinstance(new, dict):
        for key, value in old.items():
            if key in new:
                yield from _changes(value, new[key], (*path, key))
            else:
                yield (*path, key), None
    elif isinstance(old, list) and old != new:
        yield path, new


def _put(editor: Editor, path: Path, value: Any) -> None:  # noqa: ANN401
    if value is not None:
        editor.set_value(path, value)
    elif path[-2] in ("joints", "jobs") and len(editor.value(path[:-1]) or ()) == 1:
        if path[-2] == "jobs":
            editor.remove(path[:-1])
        else:
            editor.set_value(path[:-1], {})  # it lifts off, and the file says so
    else:
        editor.remove(path)


def _no_longer(editor: Editor, gone: str, path: Path, held: Mapping[Keys, ReferenceKind]) -> None:
    """Keys that need what is not there: what it was drained again after, what it went off with, and how."""
    for keys, kind in held.items():
        if kind in MISSED and editor.value((*path, *keys)) == gone:
            editor.remove((*path, *(keys[:-1] if kind is ReferenceKind.MAKES else keys)))


def with_fasteners(text: str, joint: Joint, count: int | None, head: str | None, tool: str | None) -> str:
    """The machine with another number of fasteners in a joint, or another head or tool."""
    editor = Editor(text=text)
    path: Path = ("parts", joint.part, "joints", joint.name)
    if count is not None and count != joint.count:
        _count(editor, path, joint, count)
    if head is not None or tool is not None:
        for key in OF_THE_FASTENER:
            _gone(editor, (*path, key))
        _gone(editor, (*path, "tool" if head is not None else "head"))
        editor.set_value((*path, "head" if head is not None else "tool"), head if head is not None else tool)
    return editor.text


def _count(editor: Editor, path: Path, joint: Joint, count: int) -> None:
    editor.set_value((*path, "count"), count)
    for key in _OF_THE_NUMBER:
        _gone(editor, (*path, key))
    torque = editor.value((*path, "torque"))
    if isinstance(torque, dict):
        _gone(editor, (*path, "torque", "order"))
    if editor.value((*path, "time")) is not None and joint.seconds_from == "file":
        seconds = round(joint.seconds * Fraction(count, joint.count))
        editor.set_value((*path, "time"), f"{seconds} s")


def _gone(editor: Editor, path: Path) -> None:
    if editor.value(path) is None:
        return
    try:
        editor.remove(path)
    except EditError:  # one of several: the text that they come from keeps it
        editor.set_value(path, None)


def from_elsewhere(text: str, part: str, position: str, label: str | None) -> str:
    """The machine with a part that is worked on from another position, a new one where it has a ``label``."""
    editor = Editor(text=text)
    if label is not None:
        editor.set_value(("positions", position), {"label": label})
    editor.set_value(("parts", part, "from"), position)
    return editor.text


def with_part(text: str, name: str, fields: Mapping[str, object], after: str) -> str:
    """The machine with one part more, behind the part ``after`` where that has a text of its own."""
    editor = Editor(text=text)
    written = compose(text, "the machine", Faults()).data.get("parts") or {}
    editor.add_part(name, fields, after if after in written else None, comment="not in the type")
    return editor.text


def with_need(text: str, part: str, other: str) -> str:
    """The machine with another part in the way of a part."""
    editor = Editor(text=text)
    editor.add_need(part, barring(UNDO).key, other)
    return editor.text


def with_value(text: str, path: Path, value: object) -> str:
    """The machine with another value."""
    editor = Editor(text=text)
    editor.set_value(path, value)
    return editor.text
