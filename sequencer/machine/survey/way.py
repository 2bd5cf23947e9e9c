"""What is in the way of a part: known parts or new ones, off, loose or aside, for all of it or one joint."""

from __future__ import annotations

import re

from sequencer.machine.survey.odd_answers import refuse_no_part
from sequencer.machine.survey.said import Need, Part, Said
from sequencer.machine.survey.words import (
    AnswerError,
    is_nothing,
    key_of,
    known,
    label_of,
    listed,
    pieces,
    small,
    unused,
)

_STATE = re.compile(
    r"^(.*?)[\s(]+(?:only |just )?(loose|loosened|slack|aside|moved aside|to one side|off)\)?$", re.IGNORECASE
)
_TRAPS = re.compile(r"^(.*?) traps (?:it|them)$", re.IGNORECASE)
_OR = re.compile(r"\s+or\s+", re.IGNORECASE)


def part_named(said: Said, name: str, why: str) -> str:
    """The key of a part, which is new (and asked about later) if no known one is meant."""
    found = known(name, said.labels())
    if found is not None:
        return found
    refuse_no_part(name)
    key = key_of(name)
    if not key:
        raise AnswerError(f"`{name}` is no name of a part", "write its name: belt, left bracket")
    key = unused(key, said.parts)
    said.parts[key] = Part(key, label_of(name), why)
    return key


def hear_way(said: Said, part: Part, answer: str) -> str:
    """What is in the way of ``part``; returns how it was understood."""
    part.behind = []
    if is_nothing(answer):
        return "nothing is in its way: it can be reached"
    echoes, scope, known_before = [], "", set(said.parts)
    for piece in pieces(answer):
        head, colon, rest = piece.partition(":")
        if colon and head.strip().casefold() != "new":
            scope, piece = head.strip(), rest.strip()  # noqa: PLW2901 - it holds for what follows, too
            if is_nothing(piece):
                continue
        trapped = _TRAPS.match(piece)
        piece = trapped[1] if trapped else piece  # noqa: PLW2901
        need = _need(said, part, piece)
        target, where = _list_for(part, "traps" if trapped else scope)
        if need not in target:
            target.append(need)
        echoes.append(f"{_shown(said, need)}{where}")
    new = [small(other.label) for key, other in said.parts.items() if key not in known_before]
    fresh = f"; new, and asked about later: {listed(new)}" if new else ""
    return f"in its way: {listed(echoes)}{fresh}" if echoes else "nothing is in its way: it can be reached"


def _list_for(part: Part, scope: str) -> tuple[list[Need], str]:
    """The list that an entry goes into, and a word on it."""
    assert part.behind is not None
    if not scope:
        return part.behind, ""
    if scope.casefold() in ("traps", "trapped", "trapped by"):
        return part.trapped_by, " before it comes away"
    words = {key: joint.words for key, joint in (part.joints or {}).items()}
    joint = known(scope, words)
    if joint is None:
        names = ", ".join(words.values()) or "none are told yet"
        raise AnswerError(
            f"`{scope}` is no joint of it",
            f"its joints: {names}; write `traps: belt` for what keeps it from coming away",
        )
    assert part.joints is not None
    return part.joints[joint].behind, f" for its {words[joint]} only"


def _need(said: Said, part: Part, piece: str) -> Need:
    several = [one for one in _OR.split(re.sub(r"^either\s+", "", piece, flags=re.IGNORECASE)) if one.strip()]
    atoms: list[Need] = [_atom(said, part, one.strip()) for one in several]
    if not atoms:
        raise AnswerError("no part was named", "write its name, or: nothing")
    return atoms[0] if len(atoms) == 1 else {"any": atoms}


def _atom(said: Said, part: Part, words: str) -> Need:
    owner, slash, joint = words.partition("/")
    if slash and (other := said.parts.get(owner.strip())) and joint.strip() in (other.joints or {}):
        return f"{other.key}/{joint.strip()}"
    found = _STATE.match(words)
    name, state = (found[1], found[2].casefold()) if found and key_of(found[1]) else (words, "off")
    key = part_named(said, name, part.key)
    if key == part.key:
        raise AnswerError(f"{part.label} can't be in its own way", "name another part, or: nothing")
    if state == "off":
        _refuse_circle(said, part, key)
        return key
    word = "loose" if state in ("loose", "loosened", "slack") else "aside"
    said.parts[key].freedoms.setdefault(word, None)
    return {key: word}


def _refuse_circle(said: Said, part: Part, key: str) -> None:
    """Two parts that each have to be off before the other can never come off."""
    pending, seen = [key], {key}
    while pending:
        for need in said.parts[pending.pop()].behind or []:
            if need == part.key:
                label = said.parts[key].label
                raise AnswerError(
                    f"{part.label} was said to be in the way of {label}, so {label} can't be in its way",
                    "one may only need to be loose or aside, or trap the other; else take back that answer",
                )
            if isinstance(need, str) and need in said.parts and need not in seen:
                seen.add(need)
                pending.append(need)


def _shown(said: Said, need: Need) -> str:
    if isinstance(need, str):
        return small(said.parts[need].label) if need in said.parts else need
    ((key, value),) = need.items()
    if key == "any":
        return listed((_shown(said, one) for one in value), "or")
    return f"{small(said.parts[key].label)} ({value})"
