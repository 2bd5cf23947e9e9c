"""What `include` says, written out by the guide's page, on plain dictionaries and without the program."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

from tests.support.plain_repeat import over, written_out

SECTIONS = ("positions", "tools", "fluids", "tasks", "parts")
OBSTACLES = (
    "behind",
    "trapped_by",
    "while",
    "crack",
    "before",
    "serves",
    "carries",
    "back_before",
    "when",
    "with",
)
NAMING = (*OBSTACLES, "wet", "needs", "drained", "after", "again_after", "on", "any")
PLAIN_TEXTS = ("label", "note", "caution", "about", "kind", "item", "source", "time", "head", "thread")

Load = Callable[[str], dict[str, Any]]


def joined(text: dict[str, Any], load: Load) -> dict[str, Any]:
    """A machine file, or an assembly with its values in it, without `repeat` and `include`."""
    plain = written_out(text)
    includes = plain.pop("include", [])
    for one in includes if isinstance(includes, list) else [includes]:
        _put(plain, _brought(one, load))
    return plain


def _brought(one: dict[str, Any], load: Load) -> dict[str, Any]:
    """An assembly as the machine that includes it has it."""
    assembly = copy.deepcopy(load(one["assembly"]))
    outside: dict[str, str] = {}
    given = one.get("with", {})
    for name, about in assembly.pop("parameters", {}).items():
        value = given.get(name, about.get("default"))
        if name in given and about["is"] in ("position", "tool", "fluid", "task", "part", "joint", "needs"):
            value = _marked(value, outside)
        assembly = _filled(assembly, f"<{name}>", None if value == "none" else value)
    assembly = joined(assembly, load)
    named = [name for key in ("parts", "tasks", "fluids") for name in assembly.get(key, {})]
    for part in one.get("without", []):
        _leave_out(assembly, part)
    at, tools = one.get("at", {}), one.get("tools", {})
    first = next(iter(assembly.get("positions", {})), None)
    places = ({first: at} if isinstance(at, str) else at) if first else {}
    names = {name: f"{one['as']}-{name}" for name in named}
    spots = {name: places.get(name, f"{one['as']}-{name}") for name in assembly.get("positions", {})}
    default = spots[first] if first else at if isinstance(at, str) else None
    found: dict[str, Any] = {}
    for section in SECTIONS:
        found[section] = {}
        for name, about in assembly.get(section, {}).items():
            if name in (places if section == "positions" else tools if section == "tools" else {}):
                continue
            entry = _renamed(about, names, spots, tools, "", one["as"])
            _label(entry, one.get("where") if section != "tools" else None)
            if default and section in ("parts", "tasks"):
                entry.setdefault("from", default)
            for work in ("drain", "fill") if section == "fluids" and default else ():
                if entry.get(work) != "none":
                    entry[work] = {"from": default, **(entry.get(work) or {})}
            own = spots if section == "positions" else names  # a position may be called as a part is
            found[section][name if section == "tools" else own[name]] = entry
    for key in ("first", "walks"):
        found[key] = _renamed(
            assembly.get(key, []), names, spots, tools, "before" if key == "first" else "", ""
        )
    found["walks"] = [[spots.get(a, a), spots.get(b, b), time] for a, b, time in assembly.get("walks", [])]
    return _unmarked(found, outside)


def _put(plain: dict[str, Any], brought: dict[str, Any]) -> None:
    """What was brought comes behind what the machine has; what that says of it is laid over it."""
    for section in SECTIONS:
        own = plain.get(section) or {}
        for name, about in brought[section].items():
            own[name] = over(about, own.pop(name) or {}) if name in own else about
        if own or section in plain:
            plain[section] = own
    if brought["first"]:
        plain["first"] = [
            *plain.get("first", []),
            *(one for one in brought["first"] if one not in plain.get("first", [])),
        ]
    pairs = [{a, b} for a, b, _ in plain.get("walks", [])]
    for a, b, time in brought["walks"]:
        if a != b and {a, b} not in pairs:
            pairs.append({a, b})
            plain.setdefault("walks", []).append([a, b, time])


def _marked(value: Any, outside: dict[str, str]) -> Any:
    """Names of the machine in such a dress that no name of the assembly is like them."""
    if isinstance(value, str) and value != "none":
        outside[f"§{len(outside)}§"] = value
        return f"§{len(outside) - 1}§"
    if isinstance(value, list):
        return [_marked(one, outside) for one in value]
    if isinstance(value, dict):
        return {
            key if key == "any" else _marked(key, outside): _marked(one, outside) if key == "any" else one
            for key, one in value.items()
        }
    return value


def _unmarked(thing: Any, outside: dict[str, str]) -> Any:
    if isinstance(thing, dict):
        return {_unmarked(key, outside): _unmarked(one, outside) for key, one in thing.items()}
    if isinstance(thing, list):
        return [_unmarked(one, outside) for one in thing]
    for mark, name in outside.items() if isinstance(thing, str) else ():
        thing = thing.replace(mark, name)
    return thing


def _filled(thing: Any, mark: str, value: Any) -> Any:
    if isinstance(thing, dict):
        return {
            _filled(key, mark, value): _filled(one, mark, value)
            for key, one in thing.items()
            if not (one == mark and value is None)
        }
    if isinstance(thing, list):
        found: list[Any] = []
        for one in thing:
            more = value if isinstance(value, list) else [] if value is None else [value]
            found += more if one == mark else [_filled(one, mark, value)]
        return found
    if thing == mark:
        return value
    return thing.replace(mark, str(value)) if isinstance(thing, str) else thing


def _leave_out(assembly: dict[str, Any], name: str) -> None:
    part, slash, joint = name.partition("/")
    if slash:
        del assembly["parts"][part]["joints"][joint]
    else:
        for section in ("parts", "tasks", "fluids"):
            (assembly.get(section) or {}).pop(name, None)
    for section in SECTIONS:
        for owner, about in (assembly.get(section) or {}).items():
            _clear_of(about, name, owner, "")
    if name in assembly.get("first", []):
        assembly["first"].remove(name)


def _clear_of(thing: Any, gone: str, owner: str, key: str) -> None:
    """What is not there is clear: it is asked for by nothing that only wants it out of the way."""
    if isinstance(thing, list):
        for one in thing:
            _clear_of(one, gone, owner, "")
    if not isinstance(thing, dict):
        return
    for name, one in list(thing.items()):
        own = name in ("joints", "loose", "aside") or (name == "with" and key == "rides")
        if (name in OBSTACLES or own) and isinstance(one, str | list):
            wanted = [one] if isinstance(one, str) else one
            kept = [item for item in wanted if not _is_met(item, gone, owner if own else None)]
            if kept != wanted:
                thing[name] = kept
                if not kept:
                    del thing[name]
        else:
            _clear_of(one, gone, owner, name)
            if name == "crack" and isinstance(one, dict) and "while" not in one:
                del thing[name]


def _is_met(item: Any, gone: str, owner: str | None) -> bool:
    if isinstance(item, dict):
        if "any" in item:
            entries = item["any"] if isinstance(item["any"], list) else [item["any"]]
            return any(_is_met(one, gone, None) for one in entries)
        return gone in item
    if owner is not None and "/" not in item:
        return gone == f"{owner}/{item}"
    return item == gone or item.partition("/")[0] == gone


def _label(entry: dict[str, Any], where: str | None) -> None:
    for holder in (entry, entry.get("undo")):
        if where and isinstance(holder, dict) and "label" in holder:
            holder["label"] += f", {where}"


def _renamed(
    thing: Any, names: dict[str, str], spots: dict[str, str], tools: dict[str, str], key: str, prefix: str
) -> Any:
    """All names in a value under ``key``; joints and texts stay."""
    if isinstance(thing, dict):
        states = key in NAMING and list(thing) != ["any"]
        if states and key not in ("with", "crack") and set(thing) & {*names}:
            return {names.get(name, name): one for name, one in thing.items()}
        return {name: _renamed(one, names, spots, tools, name, prefix) for name, one in thing.items()}
    if isinstance(thing, list):
        return [_renamed(one, names, spots, tools, key, prefix) for one in thing]
    if not isinstance(thing, str) or key in PLAIN_TEXTS:
        return thing
    if key == "from":
        return spots.get(thing, thing)
    if key == "tool":
        return tools.get(thing, thing)
    if key == "face":
        return f"{prefix}-{thing}"
    name, slash, joint = thing.partition("/")
    if key in NAMING or (slash and key == "joints"):
        return f"{names.get(name, name)}{slash}{joint}"
    return thing
