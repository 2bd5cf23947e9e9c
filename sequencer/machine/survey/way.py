"""What is in the way of a part: known parts or new ones, off, loose or aside, for all of it or one joint."""

from __future__ import annotations

import re

from sequencer.machine.model import Subject
from sequencer.machine.survey.odd_answers import refuse_no_part
from sequencer.machine.survey.said import Need, Said, SaidPart
from sequencer.machine.survey.short_lines import (
    AnswerError,
    is_nothing,
    key_of,
    known,
    label_of,
    pieces,
    unused,
)
from sequencer.machine.trade.relations import PART, UNDO, barring, relations
from sequencer.wording import joined, small

_STATE = re.compile(
    r"^(.*?)[\s(]+(?:only |just )?(loose|loosened|slack|aside|moved aside|to one side|off)\)?$", re.IGNORECASE
)
_OR = re.compile(r"\s+or\s+", re.IGNORECASE)


def part_named(said: Said, name: str, why: str) -> str:
    """The key of a part, which is new (and asked about later) if no known one is meant."""
    found = known(name, said.labels())
    if found is not None:
        return found
    refuse_no_part(name)
    key = key_of(name)
    if not key:
        raise AnswerError(f"`{name}` is not the name of a part", "write its name: belt, left bracket")
    key = unused(key, said.parts)
    said.parts[key] = SaidPart(key, label_of(name), why)
    return key


def hear_way(said: Said, part: SaidPart, answer: str) -> str:
    """What is in the way of ``part``; returns how it was understood."""
    part.waits = {}
    if is_nothing(answer):
        return "nothing is in its way: it can be reached"
    echoes, scope, known_before = [], "", set(said.parts)
    for piece in pieces(answer):
        head, colon, rest = piece.partition(":")
        if colon and head.strip().casefold() != "new":
            scope, piece = head.strip(), rest.strip()  # noqa: PLW2901 - it holds for what follows, too
            if is_nothing(piece):
                continue
        piece, how = _by_verb(piece)  # noqa: PLW2901
        need = _need(said, part, piece)
        target, where = _list_for(part, how or scope)
        if need not in target:
            target.append(need)
        echoes.append(f"{_shown(said, need)}{where}")
    new = [small(other.label) for key, other in said.parts.items() if key not in known_before]
    fresh = f"; new, and asked about later: {joined(new)}" if new else ""
    return f"in its way: {joined(echoes)}{fresh}" if echoes else "nothing is in its way: it can be reached"


def _list_for(part: SaidPart, scope: str) -> tuple[list[Need], str]:
    """The list that an entry goes into, and a word on it."""
    assert part.waits is not None
    if not scope:
        return part.waits.setdefault(barring(UNDO).key, []), ""
    told = [(one, one.survey) for one in relations(PART) if one.survey]
    for relation, own in told:
        if scope.casefold() in own.scopes:
            return part.waits.setdefault(relation.key, []), f" {own.echo}"
    words = {key: joint.words for key, joint in (part.joints or {}).items()}
    joint = known(scope, words)
    if joint is None:
        names = ", ".join(words.values()) or "none has been named yet"
        raise AnswerError(
            f"`{scope}` is not one of its joints",
            "; ".join((f"its joints: {names}", *(own.remedy for _, own in told))),
        )
    assert part.joints is not None
    waits = part.joints[joint].waits
    return waits.setdefault(barring(UNDO).key, []), f" for its {words[joint]} only"


def _by_verb(piece: str) -> tuple[str, str]:
    """``belt traps it`` less the verb, and the scope that this is."""
    for one in relations(PART):
        if one.survey and (said := re.match(rf"^(.*?) {one.survey.verb} (?:it|them)$", piece, re.IGNORECASE)):
            return said[1], one.survey.scopes[0]
    return piece, ""


def _need(said: Said, part: SaidPart, piece: str) -> Need:
    several = [one for one in _OR.split(re.sub(r"^either\s+", "", piece, flags=re.IGNORECASE)) if one.strip()]
    atoms: list[Need] = [_atom(said, part, one.strip()) for one in several]
    if not atoms:
        raise AnswerError("no part was named", "write its name, or: nothing")
    return atoms[0] if len(atoms) == 1 else {"any": atoms}


def _atom(said: Said, part: SaidPart, words: str) -> Need:
    named = Subject(words)
    other, joint = said.parts.get(named.part.strip()), named.joint.strip()
    if named.of_joint and other and joint in (other.joints or {}):
        return f"{other.key}/{joint}"
    found = _STATE.match(words)
    name, state = (found[1], found[2].casefold()) if found and key_of(found[1]) else (words, "off")
    key = part_named(said, name, part.key)
    may_be_in_the_way(said, part, key, off=state == "off")
    if state == "off":
        return key
    word = "loose" if state in ("loose", "loosened", "slack") else "aside"
    said.parts[key].freedoms.setdefault(word, None)
    return {key: word}


def may_be_in_the_way(said: Said, part: SaidPart, key: str, *, off: bool = True) -> None:
    """Refuse a part in its own way, and with ``off`` one that waits for it.

    Raises:
        AnswerError: It is one of the two.
    """
    if key == part.key:
        raise AnswerError(f"{part.label} can't be in its own way", "name another part, or: nothing")
    if off:
        _refuse_circle(said, part, key)


def _refuse_circle(said: Said, part: SaidPart, key: str) -> None:
    """Two parts that each have to be off before the other can never come off."""
    pending, seen = [key], {key}
    while pending:
        for need in in_the_way(said.parts[pending.pop()]):
            if need == part.key:
                label = said.parts[key].label
                raise AnswerError(
                    f"{part.label} was said to be in the way of {label}, so {label} can't be in its way",
                    "one may only need to be loose or aside, or trap the other; else take back that answer",
                )
            if isinstance(need, str) and need in said.parts and need not in seen:
                seen.add(need)
                pending.append(need)


def in_the_way(part: SaidPart) -> list[Need]:
    """What is in the way of reaching a part, as far as that was said."""
    return [need for one in relations(PART) if one.reaches for need in (part.waits or {}).get(one.key, ())]


def _shown(said: Said, need: Need) -> str:
    if isinstance(need, str):
        return small(said.parts[need].label) if need in said.parts else need
    ((key, value),) = need.items()
    if key == "any":
        return joined((_shown(said, one) for one in value), "or")
    return f"{small(said.parts[key].label)} ({value})"
