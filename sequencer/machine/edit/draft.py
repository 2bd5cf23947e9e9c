"""A machine file's text under change: each change is taken over only if the text then says just that more."""

from __future__ import annotations

import copy
import difflib
from collections.abc import Callable
from typing import Any

from sequencer.machine.edit.changes import EditError, annotate, append, put, remove, replace, with_comment
from sequencer.machine.edit.emit import plain
from sequencer.machine.edit.expected import put_in, same, take_out
from sequencer.machine.edit.layout import Layout
from sequencer.machine.faults import Faults, MachineFileError, quote
from sequencer.machine.schema import MachineEntry
from sequencer.machine.source import check_text
from sequencer.machine.yaml_tree import Path, compose

_SECTIONS = tuple(MachineEntry.model_fields)
"""The order in which the sections of a file usually stand."""


class Draft:
    """A text, and changes of the values in it by their path.

    A path is ``parts/motor/joints/feet/time``, or a tuple of keys and places in lists.
    """

    def __init__(self, text: str, name: str) -> None:
        """Take up a text without a byte order mark; ``name`` is what messages call it.

        Raises:
            MachineFileError: It is not YAML as a machine file has it.
        """
        faults = Faults()
        if check_text(text, name, faults) is not None:
            compose(text, name, faults)
        if faults.fatal:
            raise MachineFileError(faults.sorted())
        self._name = name
        self._opened = text
        self._layout = Layout(text)

    @property
    def text(self) -> str:
        """The text with all changes so far."""
        return self._layout.text

    @property
    def changed(self) -> bool:
        """There is something to save."""
        return self.text != self._opened

    def value(self, path: str | Path) -> Any:  # noqa: ANN401 - a mapping, a list, a text or nothing
        """What stands at ``path``; ``None`` where nothing does."""
        node = self._layout.node(steps(path))
        return None if node is None else node.data()

    def diff(self) -> str:
        """The changed lines as a unified diff without context; empty where nothing changed."""
        old, new = self._opened.splitlines(), self.text.splitlines()
        return "\n".join(difflib.unified_diff(old, new, "before", "after", lineterm="", n=0))

    def set_value(self, path: str | Path, value: object, comment: str | None = None) -> None:
        """The value at ``path``, written over or new.

        A key that is written short (``torque: 9 N.m``) is written in full where a key is set under it.

        Raises:
            EditError: What it should be in is not there or has no keys.
        """
        where, new = steps(path), plain(value)
        for owner in (where[:2], where[:4])[: (len(where) > 2) + (len(where) > 4 and where[2] == "joints")]:
            if where[0] in ("positions", "tools", "fluids", "tasks", "parts"):
                self._wanted(owner)
        if self._layout.node(where) is not None:
            text = replace(self._layout, where, new)
            self._take(text, where, lambda data: put_in(data, where, new), comment)
        else:
            self._put(where, new, comment)

    def append(self, path: str | Path, value: object, comment: str | None = None) -> None:
        """One more entry in the list at ``path``, which may be missing or one entry without brackets.

        Raises:
            EditError: The entry is there already.
        """
        where, new = steps(path), plain(value)
        there = self.value(where)
        entries = there if isinstance(there, list) else [] if there is None else [there]
        if new in entries:
            raise EditError(f"`{_show(where)}` has this entry already", "nothing was changed")
        if self._layout.node(where) is None:
            self._put(where, [new], comment)
            return
        at = (*where, len(entries))
        text = append(self._layout, where, new)
        self._take(text, at, lambda data: put_in(data, where, [*entries, new]), comment)

    def remove(self, path: str | Path) -> None:
        """Take out the key or entry at ``path``, with what is under it and the comment behind it.

        Raises:
            EditError: It is not there.
        """
        where = steps(path)
        self._wanted(where)
        self._take(remove(self._layout, where), where, lambda data: take_out(data, where), None)

    # ---- How a change is made ----

    def _add(
        self,
        at: tuple[str, str],
        fields: object,
        comment: str | None,
        after: str | None = None,
    ) -> None:
        """A new entry in one of the sections of names."""
        self._free(at)
        if after is not None:
            self._wanted((at[0], after))
        new = plain(fields)
        if self._layout.node(at[:1]) is None:
            self._put(at[:1], {at[1]: new}, None)
            if comment:
                self._comment(at, comment, above=True)
            return
        text = put(self._layout, at[:1], at[1], new, after=after, spread=at[0] == "parts")
        self._take(text, at, lambda data: put_in(data, at, new, after), comment, above=True)

    def _put(self, where: Path, value: object, comment: str | None) -> None:
        """A new key, and what it should be in as far as that is missing."""
        new = plain(value)
        start = where[:-1]
        while start and self._layout.node(start) is None:
            start = start[:-1]
        for step in reversed(where[len(start) + 1 :]):
            new = {step: new}
        key = str(where[len(start)])
        after = None if start else self._section_before(key)
        spread = not start and isinstance(new, dict)
        text = put(self._layout, start, key, new, after=after, spread=spread)
        self._take(text, where, lambda data: put_in(data, (*start, key), new, after), comment)

    def _section_before(self, section: str) -> str | None:
        there = list(self.value(()) or {})
        before = _SECTIONS[: _SECTIONS.index(section)] if section in _SECTIONS else ()
        return next((one for one in reversed(before) if one in there), None)

    def _take(
        self,
        text: str,
        at: Path,
        expected: Callable[[Any], None],
        comment: str | None,
        *,
        above: bool = False,
    ) -> None:
        """Take over ``text`` if it says what was there, changed as ``expected`` does to it."""
        data = copy.deepcopy(self._layout.root.data())
        data = {} if data is None else data
        expected(data)
        if comment and (noted := with_comment(self.text, text, comment, above=above)):
            try:
                self._layout = self._verified(noted, data)
            except EditError:
                pass
            else:
                return
        self._layout = self._verified(text, data)
        if comment:
            self._comment(at, comment, above=above)

    def _comment(self, at: Path, comment: str, *, above: bool) -> None:
        """Write a comment at ``at``, where a place for it is found."""
        data = self._layout.root.data()
        for place in (above, True):
            try:
                self._layout = self._verified(annotate(self._layout, at, comment, above=place), data)
            except EditError:
                continue
            return

    def _verified(self, text: str, data: object) -> Layout:
        faults = Faults()
        if check_text(text, self._name, faults) is not None:
            tree = compose(text, self._name, faults)
            if not faults.fatal and same(tree.data, data):
                return Layout(text)
        why = next((f" ({fault.problem})" for fault in faults.sorted()), "")
        problem = f"this change can't be written into {self._name} without touching the rest{why}"
        raise EditError(problem, "do it by hand")

    def _wanted(self, path: Path) -> None:
        if self._layout.node(path) is None:
            raise EditError(f"there is no `{_show(path)}` in {self._name}", "check the name")

    def _free(self, path: Path) -> None:
        if self._layout.node(path) is not None:
            raise EditError(f"`{_show(path)}` is in {self._name} already", "give it another name")


def steps(path: str | Path) -> Path:
    """A path as steps; digits in a text stay a name, since a part may be called 7."""
    return tuple(path.split("/")) if isinstance(path, str) else tuple(path)


def _show(path: Path) -> str:
    return quote("/".join(str(step) for step in path))
