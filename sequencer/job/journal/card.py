"""``job.yaml``: what a job is about, in the person's own words; the program only ever writes it once."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from io import StringIO
from pathlib import Path
from typing import Any

from sequencer.errors import SequencerError
from sequencer.machine.faults import Faults, MachineFileError, quote, suggestion
from sequencer.machine.reader.source import read_source, unprintable
from sequencer.machine.reader.yaml_tree import BROKEN, Tree, compose
from sequencer.plan.evenings.wish import CHANCE, check_chance

CARD = "job.yaml"
JOURNAL = "journal.db"

_HEAD = """\
# A job of the sequencer: its journal and photos are beside this file. Title, people, toolbox, pace, sittings
# and chance may be changed at any time. `machine` is this job's own copy, `origin` where it is copied from.
"""

_BREAKS = re.compile("[\x85\u2028\u2029]")

_TEXTS = ("title", "id", "machine", "origin", "toolbox", "database", "prefer", "practice")
_NUMBERS = ("chance",)
_LISTS = ("off", "reach", "jobs", "people", "sittings", "pace")
_KEYS = (*_TEXTS, *_LISTS, *_NUMBERS)
_FORMER = {"sessions": "sittings"}
"""Keys as older jobs have them, and what they are called now."""

_MUST = ("title", "id", "machine")


@dataclass(frozen=True)
class Card:
    """What ``job.yaml`` says.

    Attributes:
        id: The job's id in its journal.
        machine: The machine file's name in the job folder; ``origin`` is where it was copied from.
        off: Targets as after ``--off``; ``reach`` as after ``--reach``.
        jobs: The jobs of its machine file that it is, by name.
        sittings: How long each sitting may be, in minutes.
        chance: How sure somebody wants to be of ending each in its time; None: as sure as is usual.
        pace: Files with the pace of those who work on it; a relative path starts at the job folder.
        database: The journal's file in the folder, or the URL of a database.
        prefer: What plans have least of.
        practice: Whether plans keep the rules of good practice, ``all`` or ``none``. Jobs begun before there
            were any have no word of it.
    """

    title: str
    id: str
    machine: str
    origin: str = ""
    off: tuple[str, ...] = ()
    reach: tuple[str, ...] = ()
    jobs: tuple[str, ...] = ()
    people: tuple[str, ...] = ()
    toolbox: str | None = None
    sittings: tuple[int, ...] = ()
    chance: float | None = None
    pace: tuple[str, ...] = ()
    database: str = JOURNAL
    prefer: str = "time"
    practice: str = "none"

    @property
    def wished(self) -> float:
        """How sure somebody wants to be of reaching the place where they stop."""
        return CHANCE if self.chance is None else self.chance


def card_text(card: Card) -> str:
    """The card as YAML, with a comment at its head.

    Raises:
        SequencerError: There is a character in it that belongs in no text.
    """
    from ruamel.yaml import YAML

    data = {key: getattr(card, key) for key in _KEYS}
    kept = {
        key: list(value) if isinstance(value, tuple) else value
        for key, value in data.items()
        if value not in (None, "", ())
    }
    for key, value in kept.items():
        for word in value if isinstance(value, list) else [value]:
            if unprintable(str(word)) or not str(word).strip():
                raise SequencerError(f"{key} {quote(word)!r} can't be kept", "write it in plain characters")
    yaml = YAML()
    yaml.width = 4096
    stream = StringIO()
    yaml.dump({key: _quoted(value) for key, value in kept.items()}, stream)
    return _HEAD + stream.getvalue()


def _quoted(value: Any) -> Any:  # noqa: ANN401 - whatever a card holds
    """With the breaks that YAML reads as blanks (NEL, and Unicode's own two) in quotes, so that they stay."""
    from ruamel.yaml.scalarstring import DoubleQuotedScalarString

    if isinstance(value, list):
        return [_quoted(one) for one in value]
    return DoubleQuotedScalarString(value) if isinstance(value, str) and _BREAKS.search(value) else value


def read_card(path: Path) -> Card:
    """Read a ``job.yaml``.

    Raises:
        MachineFileError: With every fault of the file, each with line and column.
    """
    faults = Faults()
    text = read_source(path, faults)
    tree = Tree(str(path)) if text is None else compose(text, str(path), faults)
    found = {} if faults.fatal else _read(tree, faults)
    if faults.fatal:
        raise MachineFileError(faults.sorted())
    card = Card(**found)
    return replace(card, pace=tuple(str(path.parent / one) for one in card.pace))


def _read(tree: Tree, faults: Faults) -> dict[str, Any]:
    if not isinstance(tree.data, dict):
        faults.error(
            tree.place(()), "this is not a job", "begin one with: sequencer new FOLDER --machine FILE"
        )
        return {}
    found: dict[str, Any] = {}
    for written, value in tree.data.items():
        key = _FORMER.get(str(written), str(written))
        where = tree.place((written,), key=True)
        if key not in _KEYS:
            advice = suggestion(key, _KEYS, "take it out")
            faults.error(where, f"a job has no `{quote(key)}`", advice)
        elif key in found:
            faults.error(where, f"`{key}` is said twice, here as `{quote(written)}`", "leave one of them out")
        elif value is None or value is BROKEN:
            continue
        elif key in _LISTS:
            found[key] = _list(tree, written, value, faults)
        elif key in _NUMBERS:
            found[key] = _chance(tree, written, value, faults)
        elif isinstance(value, str):
            found[key] = value
        else:
            faults.error(where, f"`{key}` is one text", f"write it like {key}: Shaft seal")
    for key in _MUST:
        if not found.get(key):
            faults.error(tree.place(()), f"`{key}` is missing", "put the line back as it was made")
    machine = found.get("machine", "")
    if re.search(r"[/\\]|^\.\.?$", machine):
        faults.error(tree.place(("machine",)), "`machine` is a file in this folder", "give its name alone")
    return found


def _chance(tree: Tree, key: str, value: object, faults: Faults) -> float | None:
    try:
        chance = float(str(value))
        check_chance(chance)
    except (ValueError, SequencerError):
        faults.error(tree.place((key,)), f"`{key}` lies between 0 and 1", f"write it like {key}: 0.8")
        return None
    return chance


def _list(tree: Tree, key: str, value: object, faults: Faults) -> tuple[Any, ...]:
    entries = value if isinstance(value, list) else [value]
    texts = [entry for entry in entries if isinstance(entry, str) and entry.strip()]
    if len(texts) != len(entries):
        faults.error(tree.place((key,)), f"`{key}` is a list of texts", f"write it like {key}: [one, two]")
    if _FORMER.get(key, key) != "sittings":
        return tuple(texts)
    minutes = [text.removesuffix("min").strip() for text in texts]
    if not all(one.isdecimal() and int(one) for one in minutes):
        faults.error(tree.place((key,)), "`sittings` are minutes", "write it like sittings: [90, 60]")
        return ()
    return tuple(int(one) for one in minutes)
