"""The editor of a machine file: its parts, joints and needs, on a file that is replaced in one step."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path as FilePath

from sequencer.machine.edit.atomic import replace_file
from sequencer.machine.edit.changes import EditError
from sequencer.machine.edit.draft import TextDraft
from sequencer.machine.edit.emit import plain
from sequencer.machine.faults import Faults, MachineFileError, quote
from sequencer.machine.model import Subject
from sequencer.machine.reader.source import read_source
from sequencer.machine.reader.yaml_tree import Path
from sequencer.machine.reading import Reading, read_text
from sequencer.machine.trade.links import links
from sequencer.machine.trade.relations import PART, relations

_BOM = "\ufeff"
_NEEDS = (*(one.key for one in relations()), *(one.key for one in links(PART)))


class Editor(TextDraft):
    """A machine file under change. The package says how it is used.

    Attributes:
        path: The file, or ``None`` for a text that has none yet.
    """

    def __init__(
        self,
        path: FilePath | str | None = None,
        *,
        text: str | None = None,
        named: str = "",
        folder: FilePath | None = None,
    ) -> None:
        """Open the file at ``path``; with ``text``, begin a new one there, or work on the text alone.

        Messages and differences call it ``named``, or by its path. A text alone lies in ``folder``.

        Raises:
            MachineFileError: The file can't be read, or is not YAML as a machine file has it.
            EditError: Another program is writing it just now.
        """
        self.path = None if path is None else FilePath(path)
        self._on_disk: bytes | None = None
        name = named or ("machine.yaml" if self.path is None else str(self.path))
        given = self._content(name) if text is None else text
        self._bom = _BOM if given.startswith(_BOM) else ""
        super().__init__(given.removeprefix(_BOM), name, self.path.parent if self.path else folder)

    def _content(self, name: str) -> str:
        if self.path is None:
            raise TypeError("an editor wants a path or a text")
        faults = Faults()
        found = read_source(self.path, faults, name)
        if found is None:
            raise MachineFileError(faults.sorted())
        self._on_disk = self._now_on_disk(name)
        text = (self._on_disk or b"").decode("utf-8", errors="replace")
        if text.removeprefix(_BOM) != found:
            raise EditError(f"{name} is being written by another program", "try again")
        return text

    @property
    def content(self) -> bytes:
        """The file as it would be saved."""
        return (self._bom + self.text).encode("utf-8")

    def read(self) -> Reading:
        """Read what it says now as a machine file, with all its faults."""
        return read_text(self.text, self._name, self._folder)

    # ---- Changes ----

    def add_part(
        self, name: str, fields: Mapping[str, object], after: str | None = None, comment: str | None = None
    ) -> None:
        """A new part, its joints under ``joints``; behind the part ``after``, or as the last.

        Raises:
            EditError: The name is taken, or ``after`` is no part.
        """
        self._add(("parts", name), fields, comment, after)

    def add_joint(
        self, part: str, name: str, fields: Mapping[str, object], comment: str | None = None
    ) -> None:
        """A new joint of a part.

        Raises:
            EditError: There is no such part, or it has a joint of this name.
        """
        self._wanted(("parts", part))
        path: Path = ("parts", part, "joints", name)
        self._free(path)
        self.set_value(path, fields, comment)

    def add_task(self, name: str, fields: Mapping[str, object], comment: str | None = None) -> None:
        """A new task."""
        self._add(("tasks", name), fields, comment)

    def add_need(self, where: str, key: str, need: object, comment: str | None = None) -> None:
        """One more entry under a relation or a link of a part or joint.

        Args:
            where: ``motor`` or ``motor/feet``.
            key: The list; it is made where it is missing.
            need: As a file writes it (``guard``, ``motor/plug``, ``{"motor": "loose"}``, ``{"any": [...]}``),
                or an ``Atom`` or ``Need`` of a machine.
            comment: Why.

        Raises:
            EditError: There is no such part or joint, or the entry is there already.
        """
        if key not in _NEEDS:
            raise EditError(f"`{quote(key)}` is not a list of needs", f"use {', '.join(_NEEDS)}")
        self.append((*self._owner(where), key), need, comment)

    def remove_need(self, where: str, key: str, need: object) -> None:
        """Take an entry out of such a list, and the list with its last entry.

        Raises:
            EditError: The entry is not there.
        """
        path = (*self._owner(where), key)
        wanted, there = plain(need), self.value(path)
        entries = there if isinstance(there, list) else [there]
        if there is None or wanted not in entries:
            raise EditError(f"`{quote(where)}` has no such entry under `{key}`", "nothing was changed")
        self.remove(path if len(entries) == 1 else (*path, entries.index(wanted)))

    def _owner(self, where: str) -> Path:
        named = Subject(where)
        path: Path = ("parts", named.part, "joints", named.joint) if named.joint else ("parts", named.part)
        self._wanted(path)
        return path

    # ---- Saving ----

    def save(self) -> Reading:
        """Put the text in the file's place in one step, and return how it reads.

        A file that was changed since it was opened is left alone, and so is one that would no longer load.

        Raises:
            MachineFileError: What it says now has errors; they are all in it.
            EditError: The file was changed by someone else since it was opened, or there is one already.
            SequencerError: It can't be written.
        """
        if self.path is None:
            raise TypeError("this text was opened without a path to save it to")
        reading = self.read()
        if reading.machine is None:
            raise MachineFileError(reading.faults)
        content = self.content
        if self._now_on_disk(self._name) != self._on_disk:
            problem = f"{self._name} was changed by someone else since it was opened"
            raise EditError(problem, "open it again, and repeat the change", code="race")
        if content != self._on_disk:
            replace_file(self.path, content)
        self._on_disk, self._opened = content, self.text
        return reading

    def _now_on_disk(self, name: str) -> bytes | None:
        assert self.path is not None
        try:
            return self.path.read_bytes()
        except FileNotFoundError:
            return None
        except OSError as why:
            raise EditError(f"{name} can't be read: {why.strerror}", "check your rights there") from why
