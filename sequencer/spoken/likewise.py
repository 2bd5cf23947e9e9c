"""``Same again on the other side``: an act told by another one."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping

from sequencer.machine.heard.joint import joints_in
from sequencer.machine.heard.tokens import Token, Words, said
from sequencer.spoken.acting import act_in
from sequencer.spoken.names import known_name, name_in
from sequencer.spoken.patterns import pattern, patterns
from sequencer.spoken.values import Name, Same
from sequencer.spoken.vocabulary import is_thing

_NOBODY = re.compile(r"(?:the )?(?:(?:next|other|second|third|last|following) (?:1|one)|it|that|this)")
"""Words before ``the same`` that name nothing."""

_THE_ONE = re.compile(r"(?:the )?(?:1|one) (?:on|at) (?:the )?")
"""``the same for the one on the right``: there."""


def same_in(clause: list[Token], parts: Mapping[str, str]) -> Same | None:
    """What a clause says that is the same; None where it is no such clause."""
    words = Words([one for one in clause if one.norm not in ("and", "then") or one is not clause[0]])
    for one in patterns("same", "patterns"):
        match = one.match(words.text)
        if match:
            groups = match.groupdict()
            side, part = _side(groups.get("where"))
            before_side, before = _side(groups.get("before"))
            if before and before_side not in ("other", "opposite"):
                before_side, before = "", groups.get("before") or ""
            if act_in(Words([Token(word, word) for word in before.split()])) is not None:
                continue  # second belt off too: that is an act
            like = groups.get("like")
            name = None if _NOBODY.fullmatch(before) else _name(before or part, parts)
            nobody = _NOBODY.fullmatch(groups.get("before") or "") is not None
            if groups.get("before") and name is None and not before_side and not nobody:
                continue
            return Same(said(clause), name, _name(like, parts), side or before_side)
    return None


_BARE = 5
"""Words of a clause that only names what the same was done to."""


def joined_to_same(clauses: Iterable[list[Token]]) -> Iterator[list[Token]]:
    """``then the left, same again``: what is named, and that it is the same, is one clause."""
    waiting: list[Token] = []
    for clause in clauses:
        if waiting and (_bare(clause) or (_bare(waiting) and _tells_side(clause))):
            yield [*waiting, *clause]
            waiting = []
            continue
        if waiting:
            yield waiting
        waiting = clause if _only_names(clause) or _bare(clause) else []
        if not waiting:
            yield clause
    if waiting:
        yield waiting


def _bare(clause: list[Token]) -> bool:
    """It says that it is the same, and not where."""
    same = same_in(clause, {})
    return same is not None and same.part is None and same.like is None and not same.side


def _tells_side(clause: list[Token]) -> bool:
    """``same again, on the right``."""
    text = re.sub(r"^(?:on|at|for) (?:the )?", "", " ".join(one.norm for one in clause))
    match = pattern("same", "side").fullmatch(text)
    return match is not None and (clause[0].norm in ("on", "at") or not match["part"])


def _only_names(clause: list[Token]) -> bool:
    """A thing or a side, and nothing that was done to it or holds it."""
    named = [one for one in clause if one.norm not in ("and", "then", "the")]
    words = Words(named)
    if not named or len(named) > _BARE or act_in(Words(named)) is not None:
        return False
    joints = joints_in(words, naming=True)
    text = " ".join(one.norm for one in named)
    told = any(one.counted or one.head or one.thread for one in joints)
    return not told and (
        is_thing(text.rstrip(" 123456")) or pattern("same", "side").fullmatch(text) is not None
    )


SEVERAL = re.compile(r"\b(?:others?|remaining|rest of the) (?:[2-9]|1\d|two|three)\b|\ball the others\b")
"""More things than one: which, has to be asked."""


def _side(text: str | None) -> tuple[str, str]:
    """The side that is said, and the part."""
    if not text or SEVERAL.search(text):
        return "", ""
    text = _THE_ONE.sub("", text.strip(), count=1) if _THE_ONE.match(text.strip()) else text
    text = re.sub(r"^(?:on|at) (?:the )?|(?<=\w) it$", "", text.strip())
    match = pattern("same", "side").fullmatch(text.strip())
    if (
        match
        and match["part"]
        and match["side"] in ("front", "rear", "upper", "lower", "top", "bottom", "inner", "outer")
    ):
        return "", re.sub("^the ", "", text.strip())
    if match:
        return match["side"].removesuffix("s") if match["side"].startswith(
            ("driver", "passenger")
        ) else match["side"], match["part"] or ""
    return "", text


def _name(text: str | None, parts: Mapping[str, str]) -> Name | None:
    plain = re.sub(r"^(?:the|on|with|for|at)(?: the)? ", "", (text or "").strip())
    if not plain:
        return None
    return name_in([Token(word, word) for word in plain.split()], parts) and known_name(plain, parts)
