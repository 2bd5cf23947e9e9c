"""A tree into schema entries; each fault of shape in our own words, at its line.

What is faulty is taken out and the rest is validated again, so that the checks of meaning have something to
work on and nothing is said twice.
"""

from __future__ import annotations

from typing import Any, TypeVar

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from sequencer.machine.faults import FaultKind, Faults, nearest, quote
from sequencer.machine.reader.yaml_tree import BROKEN, Path, Tree
from sequencer.machine.schema.entries import MachineEntry, entry_at
from sequencer.machine.schema.entry import Entry, inner, is_entry, narrow
from sequencer.machine.schema.fields import kind_of
from sequencer.machine.trade.links import links
from sequencer.machine.trade.relations import relations

_ROUNDS = 8
"""Each round takes at least one faulty value out; more than a few would mean that taking out doesn't help."""

_STAND_INS: dict[str, Any] = {"machine": "?", "parts": {}}
"""What stands in for a key that a machine file must have and lacks, so that the rest can be checked."""

_EXAMPLES = {
    "machine": "machine: Bench pump",
    "parts": "parts: and the parts under it",
    "item": "item: Gasket",
    "while": "while: [belt]",
    "on": "on: head",
    "with": "with: [nuts]",
    "kind": "kind: rtv",
    "first": "first: [bracket]",
    "at": "at: [0, 120, 40]",
    "size": "size: [40, 20, 10]",
    "assembly": "assembly: wheel-end",
    "as": "as: rf",
    "off": "off: [head]",
}
"""How a key that must be there is written."""

_ANY_FAULT: FaultKind = ""
_MISSING: dict[Path, FaultKind] = {("parts",): "structure"}
"""Keys that are probably there and stand where they do not belong."""

_MEANT = {
    "position": "from",
    "at": "from",
    "where": "from",
    "held_by": "joints",
    "fasteners": "joints",
    "qty": "count",
    "quantity": "count",
    "number": "count",
    "type": "kind",
    "size": "head",
    "by_hand": "head",
    "tools": "tool",
    "duration": "time",
    "seconds": "time",
    "mass": "weight",
    "warning": "caution",
    "grade": "class",
    "head": "tool",
    "name": "label",
    "replace": "renew",
    **{word: relation.key for relation in relations() for word in relation.meant},
    **{word: link.key for link in links() for word in link.meant},
}
"""Everyday words that are not keys, and the key that says it."""


def validate(tree: Tree, faults: Faults) -> MachineEntry | None:
    """The file's entries, less what is faulty; ``None`` where nothing can be made of it.

    ``tree.data`` stays as it is, so that names in what is taken out are still known.
    """
    if not _is_a_machine_file(tree, faults):
        return None
    data: dict[str, Any] = _without_broken(tree.data)  # type: ignore[assignment]
    _warn_of_empty(data, MachineEntry, (), tree, faults)
    for _ in range(_ROUNDS):
        try:
            return MachineEntry.model_validate(data)
        except ValidationError as why:
            errors = why.errors(include_url=False, include_context=True)
        for error in _without_follow_ons(errors):
            _note(error, tree, faults)
        _take_out(data, errors)
    return None


_Shape = TypeVar("_Shape", bound=Entry)


def validated(shape: type[_Shape], raw: object, path: Path, tree: Tree, faults: Faults) -> _Shape | None:
    """An entry of ``tree`` by itself; ``None`` after noting what is wrong with it."""
    data = _without_broken(raw)
    try:
        return shape.model_validate(data)
    except ValidationError as why:
        errors = why.errors(include_url=False, include_context=True)
    for error in errors:
        _note({**error, "loc": (*path, *error["loc"])}, tree, faults)
    return None


def _is_a_machine_file(tree: Tree, faults: Faults) -> bool:
    if isinstance(tree.data, dict):
        return True
    if not faults.fatal:
        begin = "begin it with machine: and the machine's name"
        if tree.data is None:
            faults.error(tree.place(()), "the file is empty", begin)
        elif tree.data is not BROKEN:
            faults.error(tree.place(()), f"the file is {kind_of(tree.data)}, and keys are wanted", begin)
    return False


def _without_broken(value: object) -> object:
    if isinstance(value, dict):
        return {key: _without_broken(one) for key, one in value.items() if one is not BROKEN}
    if isinstance(value, list):
        return [_without_broken(one) for one in value]
    return value


def _warn_of_empty(value: object, annotation: object, path: Path, tree: Tree, faults: Faults) -> None:
    """A key with nothing after its colon counts as left out: probably something was to be filled in."""
    if isinstance(value, list):
        for number, one in enumerate(value):
            _warn_of_empty(one, inner(annotation), (*path, number), tree, faults)
    if not isinstance(value, dict):
        return
    entry = annotation if is_entry(annotation) else None
    keys = {} if entry is None else entry.keys()
    wanted = set() if entry is None else {key for key in keys if key not in entry.open_keys}
    for key, one in value.items():
        here = (*path, key)
        below = inner(annotation) if entry is None else narrow(keys.get(key))
        if one is None and key in wanted and not inner(below):
            faults.warning(
                tree.place(here, key=True),
                f"`{quote(key)}` has nothing after it",
                "fill it in, or take it out",
            )
        _warn_of_empty(one, below, here, tree, faults)


def _note(error: ErrorDetails, tree: Tree, faults: Faults) -> None:
    """Say one of pydantic's errors in our words."""
    path: Path = error["loc"]
    kind = error["type"]
    last = quote(path[-1]) if path else "the file"
    if kind == "plain":
        faults.error(tree.place(path), error["ctx"]["problem"], error["ctx"]["remedy"])
    elif kind == "extra_forbidden":
        entry = entry_at(path)
        faults.error(
            tree.place(path, key=True),
            f"`{last}` is not a key of {entry.called}",
            _known_key(path, faults),
            "structure",
        )
    elif kind == "missing" and tree.at(path) not in (None, {}):
        pass  # it is there, was faulty itself, and that has been said
    elif kind == "missing":
        entry = entry_at(path[:-1])
        advice, sort = f"write {_EXAMPLES.get(last, f'{last}:')}", _MISSING.get(path, _ANY_FAULT)
        faults.error(tree.place(path[:-1], key=True), f"{entry.called} needs `{last}`", advice, sort)
    else:
        raw = kind_of(error["input"])
        what = entry_at(path) if entry_at(path) is not entry_at(path[:-1]) else None
        faults.error(tree.place(path), *_unlike(last, raw, what, is_list=kind == "list_type"))


def _unlike(last: str, raw: str, what: type[Entry] | None, *, is_list: bool) -> tuple[str, str, FaultKind]:
    """What is wrong with a value of another kind than the key wants."""
    if is_list:
        return f"`{last}` wants a list, and this is {raw}", "write [one, another]", ""
    if what is not None:
        keys = ", ".join(list(what.keys())[:4])
        return f"{what.called} has keys under it, and this is {raw}", f"write {keys} … under it", "structure"
    return f"`{last}` wants names with a colon, and this is {raw}", "write each as name: {...}", "structure"


def _known_key(path: Path, faults: Faults) -> str:
    """What to do about an unknown key."""
    if faults.full:
        return ""
    meant = _near_key(path)
    entry = entry_at(path)
    return f"did you mean `{meant}`?" if meant else f"{entry.called} has {', '.join(entry.keys())}"


def _near_key(path: Path) -> str | None:
    """The key that an unknown one at ``path`` is probably a slip or an everyday word for."""
    keys, word = entry_at(path).keys(), str(path[-1])
    everyday = _MEANT.get(word.casefold())
    return everyday if everyday in keys else nearest(word, keys)


def _without_follow_ons(errors: list[ErrorDetails]) -> list[ErrorDetails]:
    """The errors less those for a missing key that is there, misspelt."""
    missing = {error["loc"] for error in errors if error["type"] == "missing"}
    parents = {path[:-1] for path in missing}
    misspelt = {
        (*path[:-1], _near_key(path))
        for path in (error["loc"] for error in errors if error["type"] == "extra_forbidden")
        if path[:-1] in parents
    }
    return [error for error in errors if error["loc"] not in misspelt]


def _target(data: dict[str, Any], error: ErrorDetails) -> Path:
    """What to take out for an error: the faulty value; of what lacks a key, all of it."""
    loc: Path = error["loc"][:-1] if error["type"] == "missing" else error["loc"]
    real: list[str | int] = []
    value: Any = data
    for step in loc:
        in_list = isinstance(value, list) and isinstance(step, int) and step < len(value)
        if in_list or (isinstance(value, dict) and step in value):
            value = value[step]
            real.append(step)
        elif step != 0:  # one entry may stand without the brackets of its list, and then has no place 0
            break
    return tuple(real)


def _take_out(data: dict[str, Any], errors: list[ErrorDetails]) -> None:
    """Take out what is faulty, so that the rest can be validated."""
    targets = {_target(data, error) for error in errors} - {()}
    tops = [path for path in targets if not any(path[:end] in targets for end in range(1, len(path)))]
    # From the end, so that positions in lists stay right while entries are taken out of them.
    for path in sorted(tops, key=_in_order, reverse=True):
        holder: Any = data
        for step in path[:-1]:
            holder = holder[step]
        del holder[path[-1]]
    data |= {key: stand_in for key, stand_in in _STAND_INS.items() if key not in data}


def _in_order(path: Path) -> tuple[tuple[bool, int, str], ...]:
    return tuple((isinstance(step, int), step if isinstance(step, int) else 0, str(step)) for step in path)
