"""``Same again on the other side``: an act told by another one."""

from __future__ import annotations

import re
from collections.abc import Mapping

from sequencer.machine.heard.tokens import Token, Words, said
from sequencer.spoken.names import known_name, name_in
from sequencer.spoken.patterns import pattern, patterns
from sequencer.spoken.values import Name, Same


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
            like = groups.get("like")
            name = _name(before or part, parts)
            nobody = (groups.get("before") or "").removeprefix("the ") in (
                "next 1",
                "next one",
                "other 1",
                "it",
            )
            if groups.get("before") and name is None and not before_side and not nobody:
                continue
            return Same(said(clause), name, _name(like, parts), side or before_side)
    return None


SEVERAL = re.compile(r"\b(?:others?|remaining|rest of the) (?:[2-9]|1\d|two|three)\b|\ball the others\b")
"""More things than one: which, has to be asked."""


def _side(text: str | None) -> tuple[str, str]:
    """The side that is said, and the part."""
    if not text or SEVERAL.search(text):
        return "", ""
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
