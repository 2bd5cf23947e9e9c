"""What relations and ``before`` list: parts, parts in a state, joints, one of several."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import chain
from typing import Any

from sequencer.machine.faults import nearest, quote
from sequencer.machine.model import Aim, Atom, State, Subject
from sequencer.machine.reader.yaml_tree import BROKEN, Path
from sequencer.machine.schema.fields import kind_of
from sequencer.machine.trade.kinds import holding
from sequencer.machine.trade.links import JOINTS, PARTS, links
from sequencer.machine.trade.relations import JOINT, PART, TASK, Relation, listed

ANY = "any"
"""The key that asks for one of several; no part can be called so."""

_WANTED = "write a part, a joint (motor/plug) or {motor: loose}"
_WANTED_OR_ANY = "write a part, a joint (motor/plug), {motor: loose} or {any: [...]}"
_STATES = {state.word: state for state in State if state is not State.FITTED}


@dataclass(frozen=True)
class Spotted:
    """An atom and where it is written; with ``key`` the name is the key of a mapping there."""

    atom: Atom
    path: Path
    key: bool = False


@dataclass
class ListItem:
    """One entry read: any one of ``atoms`` meets it. ``problems`` are (path, problem, remedy).

    Where it stands ``alone``, one of several would be none, and is not offered as a remedy.
    """

    path: Path
    alone: bool = False
    atoms: list[Spotted] = field(default_factory=list)
    problems: list[tuple[Path, str, str]] = field(default_factory=list)

    @property
    def wanted(self) -> str:
        """What may stand there."""
        return _WANTED if self.alone else _WANTED_OR_ANY


def read_item(raw: object, path: Path, *, alone: bool = False) -> ListItem:
    """Read one entry of such a list; nested ``any`` are one."""
    item = ListItem(path, alone)
    _read(raw, path, item)
    return item


def texts_in(raw: list[Any] | None) -> list[str]:
    """What of a list is text."""
    return [one for one in raw or [] if isinstance(one, str)]


def listed_items(entry: object, holder: str, path: Path) -> Iterator[tuple[ListItem, Relation]]:
    """What an entry of the file at ``path`` lists under each relation that it may have."""
    for relation, raw in listed(entry, holder):
        for number, one in enumerate(raw or []):
            yield read_item(one, (*path, relation.key, number)), relation


def waiting_for(task: object, parts: Mapping[str, Any]) -> Iterator[tuple[str, str | None]]:
    """The parts and joints that wait for a task: what it is before, and what its links name.

    Of a part that a link names the joints that hold it wait, or it itself, where none does.
    """
    names = {one.names: one.of(task) for one in links(TASK)}
    for raw in (*(getattr(task, "before", None) or ()), *names.get(JOINTS, ())):
        for spotted in read_item(raw, ()).atoms:
            yield spotted.atom.part, spotted.atom.joint
    for part in texts_in(names.get(PARTS)):
        joints = (parts[part].joints or {}) if part in parts else {}
        for joint in holding({name: one.kind for name, one in joints.items()}) or (None,):
            yield part, joint


def in_front(part: object, joint: object, path: Path) -> Iterator[ListItem]:
    """What bars the way to the joint at ``path``: what is in the way of its part, and of itself."""
    of_part = (item for item, relation in listed_items(part, PART, path[:2]) if relation.reaches)
    return chain(of_part, (item for item, _ in listed_items(joint, JOINT, path)))


def as_written(atom: Atom) -> str:
    """The atom as a machine file writes it."""
    if atom.joint is not None or atom.state is State.OFF:
        return str(atom)
    return f"{{{atom.part}: {atom.state.word}}}"


def _read(raw: object, path: Path, item: ListItem) -> None:
    if raw is BROKEN:
        return
    if isinstance(raw, str):
        _name(raw, path, item)
    elif isinstance(raw, dict) and len(raw) == 1:
        ((key, value),) = raw.items()
        if key == ANY:
            _any(value, (*path, ANY), item)
        else:
            _state(key, value, (*path, key), item)
    elif isinstance(raw, dict) and raw:
        one = ", ".join(f"{{{quote(key)}: {quote(value)}}}" for key, value in list(raw.items())[:2])
        either = "" if item.alone else ", or {any: [...]} for one of them"
        item.problems.append(
            (path, "one entry asks for two things", f"write one entry each: [{one}]{either}")
        )
    elif isinstance(raw, list):
        advice = "take out the inner brackets" if item.alone else "write {any: [...]} for one of several"
        item.problems.append((path, "there is a list inside the list", advice))
    else:
        item.problems.append((path, "there is an empty entry", item.wanted))


def _name(text: str, path: Path, item: ListItem) -> None:
    named, aim = Subject(text), Aim(text)
    part, joint = named.part, named.joint if named.of_joint else None
    if aim.state is not None:
        item.problems.append(
            (path, f"`{quote(text)}` is not a name", f"write {{{quote(aim.part)}: {quote(aim.state)}}}")
        )
    elif not part.strip() or (joint is not None and (not joint.strip() or Subject(joint).of_joint)):
        item.problems.append((path, f"`{quote(text)}` is neither a part nor a joint", item.wanted))
    else:
        item.atoms.append(Spotted(Atom(part, State.OFF, joint), path))


def _any(value: object, path: Path, item: ListItem) -> None:
    entries = value if isinstance(value, list) else [value]
    if not entries or entries == [None]:
        item.problems.append(
            (path, "`any` of nothing can never be met", "list what would do, or take it out")
        )
        return
    for number, one in enumerate(entries):
        _read(one, (*path, number), item)


def _state(part: str, value: object, path: Path, item: ListItem) -> None:
    state = _STATES.get(value) if isinstance(value, str) else None
    if value is BROKEN:
        return
    if Subject(part).of_joint:
        item.problems.append(
            (path, f"`{quote(part)}` is a joint, which has no states", f"write {quote(part)} alone")
        )
    elif state is not None and part:
        item.atoms.append(Spotted(Atom(part, state), path, key=True))
    elif value == "fitted":
        item.problems.append(
            (path, "every part is at least `fitted`: this asks for nothing", "write loose, aside or off")
        )
    elif part in _STATES and isinstance(value, str):
        item.problems.append(
            (path, f"`{part}` is a state and not a part", f"write {{{quote(value)}: {part}}}")
        )
    else:
        near = nearest(value, _STATES) if isinstance(value, str) else None
        advice = f"did you mean `{near}`?" if near else "the states are loose, aside, off"
        asked = f"`{quote(value)}`" if isinstance(value, str) else kind_of(value)
        item.problems.append((path, f"`{quote(part)}` is asked to be {asked}, which is not a state", advice))
