"""Sentences put into the order in which the rest reads them: motor I put aside is put aside the motor.

Each rule of ``data/phrasing.toml`` is a pattern over the line, and what stands there instead: its groups,
groups read as another word, and words that nobody said. What a rule leaves out says no more than what is
left. A word keeps what was said.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files

from sequencer.machine.heard.tokens import Token, Words, any_of
from sequencer.spoken import vocabulary

_MOST = 3
"""Times that one rule is applied to a line."""


@dataclass(frozen=True)
class _Rule:
    find: re.Pattern[str]
    to: tuple[str, ...]
    cue: re.Pattern[str]


@cache
def _rules() -> tuple[_Rule, ...]:
    table = tomllib.loads((files("sequencer.spoken") / "data" / "phrasing.toml").read_text(encoding="utf-8"))
    classes: dict[str, str] = {name: f"(?:{text})" for name, text in table["classes"].items()}
    for name in table["verbs"]:
        classes[name] = f"(?:{any_of(_forms(table['verbs'][name]))})"
    for _ in range(_NESTED):
        classes = {name: _filled(text, classes) for name, text in classes.items()}
    return tuple(
        _Rule(
            re.compile(_filled(one["say"], classes)), tuple(one["to"].split()), re.compile(one.get("cue", ""))
        )
        for one in table["rules"]
    )


_NESTED = 3
"""Classes stand in classes, so deep at most."""


def _filled(text: str, classes: dict[str, str]) -> str:
    return re.sub(r"(?<!\?P)<(\w+)>", lambda one: classes.get(one[1], one[0]), text)


def _forms(lemmas: str) -> list[str]:
    """All forms of verbs."""
    return [form for verb in lemmas.split() for form in vocabulary.forms(verb)]


def rephrased(tokens: Sequence[Token]) -> list[Token]:
    """The line as the rest reads it."""
    words = Words(tokens)
    for rule in _rules():
        for _ in range(_MOST):
            text = words.text
            match = rule.find.search(text) if rule.cue.search(text) else None
            if match is None or not _plausible(match):
                break
            words.tokens[_at(text, match.start()) : _at(text, match.end())] = _instead(rule, words, match)
    return words.tokens


def _at(text: str, place: int) -> int:
    """The token that begins there."""
    return len(text[:place].split())


def _plausible(match: re.Match[str]) -> bool:
    """What a rule takes for the name of a thing may be one."""
    what = match.groupdict().get("what")
    return what is None or vocabulary.may_name(what)


def _instead(rule: _Rule, words: Words, match: re.Match[str]) -> list[Token]:
    found: list[Token] = []
    whole = "" if any("{" in one or ":" in one for one in rule.to) else words.raw(*match.span())
    for piece in rule.to:
        group, _, word = piece.partition(":")
        if word and group in match.re.groupindex:
            found.append(Token(word, words.raw(*match.span(group))))
        elif not piece.startswith("{"):
            found.append(Token(piece, "," if piece == "," else whole))
            whole = ""
        elif match[piece[1:-1]]:
            said = words.within(*match.span(piece[1:-1]))
            past = vocabulary.past(said[0].norm) if piece == "{verb}" else said[0].norm
            found += [replace(said[0], norm=past), *said[1:]]
    return found
