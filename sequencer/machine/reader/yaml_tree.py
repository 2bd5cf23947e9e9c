"""A YAML text as plain mappings, lists and texts, and where each of them is written.

Every scalar stays the text that it is in the file: ``12:30``, ``010``, ``on``, ``8.80`` mean themselves, and
only an empty value, ``~`` and ``null`` mean nothing. Anchors, aliases, tags, further documents and equal keys
are refused.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, NoReturn

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    Event,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from sequencer.machine.faults import Faults, quote
from sequencer.machine.model import Place
from sequencer.machine.reader.source import unprintable
from sequencer.machine.reader.syntax import plain_words

MOST_DEPTH = 40
"""Deepest nesting: a machine file needs about ten levels. It also bounds the recursion below."""

MOST_NODES = 60_000
"""Most keys, values and entries in one file."""

Path = tuple[str | int, ...]
"""Where something is inside the file: ``("parts", "motor", "behind", 0)``."""

BROKEN = object()
"""Stands for a value that was refused already: nothing more is said about it."""


class Tree:
    """What a file says, and where.

    Attributes:
        data: Mappings, lists, texts and ``None``; ``None`` also for an empty file.
        file: The name of the file for messages.
        left_out: What an include leaves out, by its name here, and where that is said.
    """

    def __init__(self, file: str) -> None:
        self.data: Any = None
        self.file = file
        self._values: dict[Path, tuple[int, int]] = {}
        self._keys: dict[Path, tuple[int, int]] = {}
        self._within: dict[Path, str] = {}
        self._files: dict[Path, str] = {}
        self.left_out: dict[str, Place] = {}

    def note(self, path: Path, event: Event, key: Event | None = None) -> None:
        """Keep where the value at ``path`` begins, and its key."""
        self._values[path] = (event.start_mark.line + 1, event.start_mark.column + 1)
        if key is not None:
            self._keys[path] = (key.start_mark.line + 1, key.start_mark.column + 1)

    def take(self, other: Tree, source: Path, path: Path, within: str = "") -> None:
        """Keep that the value at ``path`` is written where ``other`` has ``source``; ``within``: for what."""
        for marks, its in ((self._values, other._values), (self._keys, other._keys)):
            if source in its:
                marks[path] = its[source]
        said = (other._within.get(source, ""), within)
        self._within[path] = ", ".join(one for one in said if one)
        self._files[path] = other._files.get(source, other.file)

    def take_all(self, other: Tree, source: Path, path: Path, data: Any) -> Any:  # noqa: ANN401 - as there
        """Keep the places of ``data``, which ``other`` has at ``source``, and of all in it; returns it."""
        self.take(other, source, path)
        if isinstance(data, dict | list):
            for step, one in data.items() if isinstance(data, dict) else enumerate(data):
                self.take_all(other, (*source, step), (*path, step), one)
        return data

    def place(self, path: Path, *, key: bool = False) -> Place:
        """Where the value at ``path`` is written, or its key; of what is not there, what it should be in."""
        real: Path = ()
        for step in path:
            if (*real, step) in self._values:
                real = (*real, step)
            elif isinstance(self.at(real), dict) and step != 0:
                key = True
                break
            # Otherwise a short way of writing stands there: one entry without the brackets of its list, say.
        marks = self._keys if key and real in self._keys else self._values
        where = marks.get(real, (1, 1))
        return Place(self._files.get(real, self.file), *where, self._within.get(real, ""))

    def at(self, path: Path) -> Any:  # noqa: ANN401 - whatever the file has there
        """The value at ``path``; ``None`` where there is none."""
        value = self.data
        for step in path:
            if isinstance(value, dict):
                value = value if step == 0 else value.get(step)  # one entry may stand without its brackets
            elif isinstance(value, list) and isinstance(step, int) and step < len(value):
                value = value[step]
            else:
                return None
        return value


KEPT = 8
"""So many texts: a job's file, what the journal has of it, and the steps from one to the other."""

_known: tuple[tuple[str, list[Event]], ...] = ()


def events_of(text: str) -> Iterator[Event]:
    """What the parser makes of a text.

    Parsing takes nearly all the time of reading, and a change looks at the same text several times: where
    things stand in it, what it says, what machine it is. So what was parsed to its end is kept for a while.

    Raises:
        MarkedYAMLError: It is not YAML; what stands before the fault comes first.
    """
    global _known  # noqa: PLW0603 - replaced as a whole: no thread sees half of it
    for known, events in _known:
        if text == known:
            yield from events
            return
    events = []
    for event in _quickly(text) or YAML(typ="safe", pure=True).parse(text):
        events.append(event)
        yield event
    _known = ((text, events), *_known[: KEPT - 1])


_ODD = re.compile("[^\n\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]")
"""Tabs, and the breaks of a line of which YAML 1.1 and 1.2 think differently."""


_BEGINS = (MappingStartEvent, SequenceStartEvent)
_ENDS = (MappingEndEvent, SequenceEndEvent)


def _quickly(text: str) -> list[Event] | None:
    """The events of a text by the C parser, in a twelfth of the time; ``None`` where only the other counts.

    That is where the two tell a thing or its place differently: what is no YAML, a value that is left out,
    anchors, aliases and tags, odd characters, ``---``, and a last line that does not end.
    """
    if not text.endswith("\n") or _ODD.search(text):
        return None
    events: list[Event] = []
    depth = 0
    try:
        for event in YAML(typ="safe", pure=False).parse(text):
            depth += isinstance(event, _BEGINS) - isinstance(event, _ENDS)
            # What is nested deeper is refused, and this parser takes the square of the depth.
            if depth > MOST_DEPTH or len(events) > MOST_NODES or _told_otherwise(event):
                return None
            events.append(event)
    except Exception:  # noqa: BLE001 - whatever it is, the other parser has the words for it
        return None
    return events


def _told_otherwise(event: Event) -> bool:
    if isinstance(event, DocumentStartEvent):
        return bool(event.explicit)
    left_out = isinstance(event, ScalarEvent) and not event.value and not event.style
    return left_out or isinstance(event, AliasEvent) or _has(event, "anchor") or _has(event, "tag")


class _StopError(Exception):
    """The rest of the file is not worth reading; the fault is noted."""


def compose(text: str, file: str, faults: Faults) -> Tree:
    """Read a YAML text; whatever is wrong with it is noted in ``faults``."""
    tree = Tree(file)
    composer = _Composer(tree, faults)
    try:
        composer.document(events_of(text))
    except _StopError:
        pass
    except MarkedYAMLError as why:
        mark = why.problem_mark or why.context_mark
        place = composer.last if mark is None else Place(file, mark.line + 1, mark.column + 1)
        faults.error(place, *plain_words(why), kind="syntax")
    except Exception as why:  # noqa: BLE001 - the parser meets texts that it was not written for
        faults.error(
            composer.last,
            f"this can't be read as YAML: {quote(why)}",
            "write it another way, or leave it out",
            "syntax",
        )
    return tree


class _Composer:
    """Builds the tree from the parser's events, one method for each kind of node."""

    def __init__(self, tree: Tree, faults: Faults) -> None:
        self.tree = tree
        self.faults = faults
        self.last = Place(tree.file, 1, 1)
        self._count = 0

    def document(self, events: Iterator[Event]) -> None:
        """The first document; a second one is refused."""
        self._events = events
        documents = 0
        for event in events:
            if isinstance(event, DocumentStartEvent):
                documents += 1
                if documents > 1:
                    self._stop(
                        event, "a second document begins here (`---`)", "give each machine a file of its own"
                    )
            elif isinstance(event, ScalarEvent | AliasEvent | MappingStartEvent | SequenceStartEvent):
                self.tree.data = self._node(event, (), 1)

    def _next(self) -> Event:
        event = next(self._events)
        self.last = self.place(event)
        self._count += 1
        if self.faults.full:
            raise _StopError
        if self._count > MOST_NODES:
            self._stop(
                event, f"the file has more than {MOST_NODES:,} entries", "describe the machine in less"
            )
        return event

    def _node(self, event: Event, path: Path, depth: int, key: Event | None = None) -> object:
        self.tree.note(path, event, key)
        if depth > MOST_DEPTH:
            self._stop(
                event, f"this is nested more than {MOST_DEPTH} levels deep", "a machine file needs about ten"
            )
        self._refuse_marks(event)
        if isinstance(event, ScalarEvent):
            return self._text(event)
        if isinstance(event, SequenceStartEvent):
            return self._list(path, depth)
        assert isinstance(event, MappingStartEvent)
        return self._mapping(event, path, depth)

    def _refuse_marks(self, event: Event) -> None:
        """Stop at an alias, an anchor or a tag: what they make of the rest is not what it seems."""
        marks = (
            (isinstance(event, AliasEvent), "an alias (`*`)", "write out what it stands for, or quote it"),
            (_has(event, "anchor"), "an anchor (`&`)", "leave it out; quote a text that begins with &"),
            (_has(event, "tag"), "a tag (`!`)", "leave it out; quote a text that begins with !"),
        )
        for there, words, remedy in marks:
            if there:
                self._stop(event, f"here is {words}, which a machine file can't have", remedy)

    def _text(self, event: ScalarEvent) -> object:
        text: str = event.value
        if not event.style and text in ("", "~", "null", "Null", "NULL"):
            return None
        if found := unprintable(text):
            code = f"U+{ord(found[0]):04X}"
            self.faults.error(self.place(event), f"this text has a control character ({code})", "take it out")
            return BROKEN
        return text

    def _list(self, path: Path, depth: int) -> list[Any]:
        entries: list[Any] = []
        while not isinstance(event := self._next(), SequenceEndEvent):
            entries.append(self._node(event, (*path, len(entries)), depth + 1))
        return entries

    def _mapping(self, start: MappingStartEvent, path: Path, depth: int) -> dict[str, Any]:
        entries: dict[str, Any] = {}
        commas = _Commas(self)
        while not isinstance(key := self._next(), MappingEndEvent):
            name = self._key(key, entries, path, depth)
            event = self._next()
            if name is None:
                self._node(event, (*path, "", len(entries)), depth + 1)
            elif start.flow_style and commas.takes(name, key, event):
                continue
            else:
                entries[name] = self._node(event, (*path, name), depth + 1, key)
                commas.follow(name, event)
        commas.say()
        return entries

    def _key(self, event: Event, entries: dict[str, Any], path: Path, depth: int) -> str | None:
        """The key's name; ``None`` after noting why it can't be one."""
        self._refuse_marks(event)
        if not isinstance(event, ScalarEvent):
            self._node(event, (*path, "", "key"), depth + 1)
            self.faults.error(
                self.place(event), "a list or a mapping can't be a key", "write a name before the colon"
            )
            return None
        name = self._text(event)
        if name is BROKEN:
            return None
        name = event.value if name is None else name
        if name in entries:
            first = self.tree.place((*path, name), key=True).line
            self.faults.error(
                self.place(event),
                f"`{quote(name)}` is here a second time; the first is in line {first}",
                "keep one of them, or give this one another name",
                "structure",
            )
            return None
        return str(name)

    def _stop(self, event: Event, problem: str, remedy: str) -> NoReturn:
        self.faults.error(self.place(event), problem, remedy)
        raise _StopError

    def place(self, event: Event) -> Place:
        """Where an event begins."""
        return Place(self.tree.file, event.start_mark.line + 1, event.start_mark.column + 1)


def _has(event: Event, mark: str) -> bool:
    """Whether there is an anchor or a tag on a node."""
    return getattr(event, mark, None) is not None


class _Commas:
    """Watches one ``{...}`` for a comma in an unquoted text, which makes a key of what follows."""

    def __init__(self, composer: _Composer) -> None:
        self._composer = composer
        self._key = ""
        self._text: str | None = None
        self._place: Place | None = None

    def follow(self, key: str, value: Event) -> None:
        """Remember the entry just read: what comes next may be the rest of its text."""
        self.say()
        plain = isinstance(value, ScalarEvent) and not value.style
        self._key, self._text = key, (getattr(value, "value", None) or None) if plain else None

    def takes(self, name: str, key: Event, value: Event) -> bool:
        """Whether ``name`` has no colon and follows a text; it is then taken as part of that text."""
        bare = isinstance(value, ScalarEvent) and not value.style and not value.value
        if not bare or value.start_mark.index != key.end_mark.index or self._text is None:
            return False
        self._text += f", {name}"
        self._place = self._place or self._composer.place(key)
        return True

    def say(self) -> None:
        """Note the fault, if there was one."""
        if self._place is not None:
            self._composer.faults.error(
                self._place,
                f"the comma in {quote(self._text)} ends the text and begins a key without a value",
                f'put the text in quotes: {self._key}: "{quote(self._text)}"',
            )
        self._place = None
