"""A machine file's text under change: each change is taken over only if the text then says just that more."""

from __future__ import annotations

import copy
import difflib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path as FilePath
from typing import Any, NoReturn

from sequencer.machine.edit.changes import (
    EditError,
    annotate,
    append,
    insert,
    put,
    remove,
    replace,
    with_comment,
)
from sequencer.machine.edit.emit import plain
from sequencer.machine.edit.expected import put_in, same, take_out
from sequencer.machine.edit.layout import Layout
from sequencer.machine.edit.meant import alike, beside, lookup, meaning
from sequencer.machine.faults import Faults, MachineFileError, quote
from sequencer.machine.reader.repeat import SECTIONS, WrittenOut
from sequencer.machine.reader.source import check_text
from sequencer.machine.reader.yaml_tree import Path, Tree, compose
from sequencer.machine.schema.entries import MachineEntry

_ORDER = tuple(MachineEntry.model_fields)
"""The order in which the sections of a file usually stand."""


class TextDraft:
    """A text, and changes of the values in it by their path.

    A path is ``parts/motor/joints/feet/time``, or a tuple of keys and places in lists. What ``repeat`` writes
    out has a path too: what is changed of one of several is written beside the text that they come from.

    Attributes:
        words: What was written so for the first time, a sentence each.
    """

    def __init__(self, text: str, name: str, folder: FilePath | None = None) -> None:
        """Take up a text without a byte order mark, which messages call ``name``; it lies in ``folder``.

        Raises:
            MachineFileError: It is not YAML as a machine file has it.
        """
        faults = Faults()
        if check_text(text, name, faults) is not None:
            compose(text, name, faults)
        if faults.fatal:
            raise MachineFileError(faults.sorted())
        self._name = name
        self._folder = folder
        self._opened = text
        self._layout = Layout(text)
        self._known: tuple[str, WrittenOut | None] = ("", None)
        self.words: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """The text with all changes so far."""
        return self._layout.text

    @property
    def changed(self) -> bool:
        """There is something to save."""
        return self.text != self._opened

    def value(self, path: str | Path) -> Any:  # noqa: ANN401 - a mapping, a list, a text or nothing
        """What stands at ``path``, or is meant by what stands there; ``None`` where nothing does."""
        where = steps(path)
        if (written := self._written()) is not None and where:
            there, said = lookup(written.tree.data, where)
            if there:
                return said
        node = self._layout.node(where)
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
            if where[0] in SECTIONS:
                self._wanted(owner)
        with self._by_itself(where):
            if self._is_based(where):
                self._beside(where, lambda data: put_in(data, where, new), comment)
            elif self._layout.node(where) is not None:
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
        there = _entries(self.value(where))
        if new in there:
            raise EditError(f"`{_show(where)}` has this entry already", "nothing was changed")
        with self._by_itself(where):
            if self._is_based(where):
                self._beside(where, lambda data: put_in(data, where, [*there, new]), comment)
                return
            node = self._layout.node(where)
            if node is None:
                self._put(where, [new], comment)
                return
            entries = _entries(node.data())
            at = (*where, len(entries))
            text = append(self._layout, where, new)
            self._take(text, at, lambda data: put_in(data, where, [*entries, new]), comment)

    def insert(self, path: str | Path, value: object, before: object) -> None:
        """One more entry in the list at ``path``, before the entry ``before``; with ``None`` before all.

        Raises:
            EditError: The entry is there already, or the one that it goes before is not.
        """
        where, new, entries = steps(path), plain(value), _entries(self.value(path))
        if not entries and before is None:
            self.append(path, value)
            return
        number = 0 if before is None else _index(entries, plain(before))
        if new in entries or number is None:
            how = "has this entry already" if new in entries else "has no such entry to go before"
            raise EditError(f"`{_show(where)}` {how}", "nothing was changed")
        at = (*where, number)
        after = [*entries[:number], new, *entries[number:]]
        with self._by_itself(at):
            if self._is_based(where):
                self._beside(where, lambda data: put_in(data, where, after), None)
                return
            text = insert(self._layout, where, number, new)
            self._take(text, at, lambda data: put_in(data, where, after), None)

    def remove(self, path: str | Path) -> None:
        """Take out the key or entry at ``path``, with what is under it and the comment behind it.

        Raises:
            EditError: It is not there.
        """
        where = steps(path)
        self._wanted(where)
        with self._by_itself(where):
            if self._is_based(where):
                self._beside(where, lambda data: take_out(data, where), None)
                return
            self._take(remove(self._layout, where), where, lambda data: take_out(data, where), None)

    # ---- What stands for several ----

    def _written(self) -> WrittenOut | None:
        """What the text says with everything written out; ``None`` where it says it so itself."""
        if self._known[0] != self.text:
            self._known = (self.text, meaning(self._layout, self._name, self._folder))
        return self._known[1]

    @contextmanager
    def _by_itself(self, where: Path) -> Iterator[None]:
        """A list is written out before one of its entries counts; all is as it was if that fails."""
        before = self._layout, self.words
        try:
            if (written := self._written()) is not None and not self._is_based(where):
                for length, step in enumerate(where):
                    node = self._layout.node(where[:length])
                    entries = lookup(written.tree.data, where[:length])[1]
                    if isinstance(step, int) and node is not None and not same(node.data(), entries):
                        text = replace(self._layout, where[:length], entries)
                        self._mean_the_same(text, where[:length], written)
            yield
        except EditError:
            self._layout, self.words = before
            raise

    def _is_based(self, where: Path) -> bool:
        """Whether it is of something that is written once for several, or comes from elsewhere."""
        return (written := self._written()) is not None and where[:2] in written.origins

    def _beside(self, where: Path, change: Callable[[Any], None], comment: str | None) -> None:
        """Make a change of one of several beside the text that they come from."""
        written = self._written()
        assert written is not None
        one = beside(written, where, change)
        if one is None:
            self._refuse_for_one(where)
        at, new, is_new = one.at, one.new, self._layout.node(where[:2]) is None
        if one.gone:
            self._take(remove(self._layout, at), at, lambda data: take_out(data, at), None)
        elif self._layout.node(at) is not None:
            self._take(replace(self._layout, at, new), at, lambda data: put_in(data, at, new), comment)
        else:
            self._put(at, new, comment, after=one.after)
        now = meaning(self._layout, self._name, self._folder)
        if now is None or not alike(now.tree.data, one.wanted):
            self._refuse_for_one(where)
        if is_new:
            said = f"`{_show(where[1:2])}` has an entry of its own in {self._name} now"
            self.words += (f"{said}; {one.kept} stays as it is",)

    def _mean_the_same(self, text: str, where: Path, written: WrittenOut) -> None:
        """Take over ``text`` if it means what it meant."""
        try:
            self._readable(text)
            layout = Layout(text)
            now = meaning(layout, self._name, self._folder)
        except EditError:
            now = None
        if now is None or not same(now.tree.data, written.tree.data):
            self._refuse_for_one(where)
        self._layout = layout

    def _refuse_for_one(self, where: Path) -> NoReturn:
        raise EditError(
            f"`{_show(where)}` in {self._name} stands for several, and can't be changed for one of them",
            "write it out for each by hand, then try again",
        )

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
            written = self._written()
            origin = written.origins.get((at[0], after)) if written else None
            after = after if origin is None else str(origin.path[1]) if origin.path else None
        new = plain(fields)
        if self._layout.node(at[:1]) is None:
            self._put(at[:1], {at[1]: new}, None)
            if comment:
                self._comment(at, comment, above=True)
            return
        text = put(self._layout, at[:1], at[1], new, after=after, spread=at[0] == "parts")
        self._take(text, at, lambda data: put_in(data, at, new, after), comment, above=True)

    def _put(self, where: Path, value: object, comment: str | None, *, after: str | None = None) -> None:
        """A new key, and what it should be in as far as that is missing; a name behind the name ``after``."""
        new = plain(value)
        start = where[:-1]
        while start and self._layout.node(start) is None:
            start = start[:-1]
        for step in reversed(where[len(start) + 1 :]):
            new = {step: new}
        key = str(where[len(start)])
        after = (after if len(start) == 1 else None) if start else self._section_before(key)
        spread = (not start or start == ("parts",)) and isinstance(new, dict)
        text = put(self._layout, start, key, new, after=after, spread=spread)
        self._take(text, where, lambda data: put_in(data, (*start, key), new, after), comment)

    def _section_before(self, section: str) -> str | None:
        there = [key.text for key in self._layout.root.keys]
        before = _ORDER[: _ORDER.index(section)] if section in _ORDER else ()
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
        if not same(self._readable(text).data, data):
            self._refuse("")
        return Layout(text)

    def _readable(self, text: str) -> Tree:
        faults = Faults()
        tree = compose(text, self._name, faults) if check_text(text, self._name, faults) is not None else None
        if tree is None or faults.fatal:
            self._refuse(f" ({faults.sorted()[0].told})")
        return tree

    def _refuse(self, why: str) -> NoReturn:
        problem = f"this change can't be written into {self._name} without touching the rest{why}"
        raise EditError(problem, "do it by hand")

    def _wanted(self, path: Path) -> None:
        if not self._is_there(path):
            raise EditError(f"there is no `{_show(path)}` in {self._name}", "check the name")

    def _free(self, path: Path) -> None:
        if self._is_there(path):
            raise EditError(f"`{_show(path)}` is in {self._name} already", "give it another name")

    def _is_there(self, path: Path) -> bool:
        written = self._written()
        meant = written is not None and lookup(written.tree.data, path)[0]
        return meant or self._layout.node(path) is not None


def _entries(value: object) -> list[Any]:
    return value if isinstance(value, list) else [] if value is None else [value]


def _index(entries: list[Any], one: object) -> int | None:
    return entries.index(one) if one in entries else None


def steps(path: str | Path) -> Path:
    """A path as steps; digits in a text stay a name, since a part may be called 7."""
    return tuple(path.split("/")) if isinstance(path, str) else tuple(path)


def _show(path: Path) -> str:
    return quote("/".join(str(step) for step in path))
