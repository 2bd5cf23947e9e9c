"""What was done: the act that a clause says, around the name of its part."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass
from functools import cache

from sequencer.machine.heard.tokens import HOLE, Words, any_of
from sequencer.spoken import vocabulary
from sequencer.spoken.names import only_adjectives
from sequencer.spoken.patterns import lines
from sequencer.spoken.values import Act

_ORDER = (Act.LEFT_OVER, Act.DRAINED, Act.ASIDE, Act.BACK, Act.LOOSE, Act.UNPLUGGED, Act.UNDONE, Act.OFF)
"""Where a clause says two, the first of these: ``moved off to one side`` is aside."""

_ACTS = {
    Act.OFF: "off",
    Act.ASIDE: "aside",
    Act.LOOSE: "loose",
    Act.UNPLUGGED: "unplugged",
    Act.UNDONE: "undone",
    Act.DRAINED: "drained",
    Act.BACK: "back",
    Act.LEFT_OVER: "left over",
}

_IMPLIED = {"unclip": "clip", "unhook": "hook", "unlatch": "latch", "unclamp": "clamp"}
"""What held a part, by the verb that let it go."""


@dataclass(frozen=True)
class Acted:
    """An act in a clause.

    Attributes:
        words: What said it.
        implied: The kind of joint that the verb tells.
        object_first: The verb came first, so that what follows is what it was done to.
        alone: Nothing but joints stood before it: ``2 bolts off the bracket``.
    """

    act: Act
    words: str
    implied: str | None = None
    object_first: bool = False
    alone: bool = False


_LEFT = re.compile(rf"^(?:{HOLE} ?)+(?:and (?:a |1 |the )?[\w ]+ )?(?P<all>left|over)$")
"""What is left of the line, and nothing else: two M6 bolts left."""


_LEAD = rf"(?P<lead>(?:(?:{HOLE}|i|ive|we|weve|have|had|then|and|just|so|now|also|next|only) )*)"
"""Words before a verb, behind what was taken out, that say nothing."""


_ALL_THE_WAY = "(?:(?:right|straight|clean|completely|fully) )?"
_THINGS_TOO = frozenset({"lift", "pull"})
"""Verbs that begin a name as well, lift arm, pull starter: no act but before one of these words."""
_OBJECTS = r"(?= (?:the|it|them|my|both|all|this|that|these|those|a|an|out|off)\b)"


def _verb(verbs: Collection[str]) -> str:
    plain = any_of(one for one in verbs if one not in _THINGS_TOO)
    named = any_of(one for one in verbs if one in _THINGS_TOO)
    return f"(?:{plain}|(?:{named}){_OBJECTS})" if named else plain


@cache
def _compiled() -> dict[Act, tuple[re.Pattern[str], re.Pattern[str] | None, re.Pattern[str]]]:
    """Before, around and after, for each act."""
    found = {}
    for act, name in _ACTS.items():
        table = lines()["acts"][name]
        before = "|".join(f"(?:{one})" for one in table["before"])
        after = "|".join(f"(?:{one})" for one in table["after"])
        verbs = table["verbs"]
        if act in (Act.OFF, Act.ASIDE):
            verbs = {*verbs, *vocabulary.taking()}
        if act is Act.OFF:
            taking = any_of(vocabulary.taking())
            before = f"{before}|(?:{taking}) (?:off|out|away|free|apart)"
            passive = "(?:is |was |are |were |got |just |now )*"
            after = f"{after}|(?:{passive}(?:{taking}) (?:(?<!unplugged )and )?)+(?:off|out|away|free|clear)"
        around = None
        if verbs:
            # Of joints the thing behind is what they held: took ¦ off the bracket; else it is where that was.
            around = re.compile(
                rf"^{_LEAD}(?P<verb>{_verb(verbs)})\b (?P<what>(?P<held>.*?{HOLE}.*?)|.+?) "
                rf"{_ALL_THE_WAY}(?P<end>{any_of(table['ends'])})\b(?(held)(?! (?:the|of|a)\b))"
            )
        found[act] = (
            re.compile(rf"^{_LEAD}(?P<all>{before})\b"),
            around,
            re.compile(rf"(?:^|(?<= ))(?P<all>{after})(?= |$)"),
        )
    return found


def act_in(words: Words) -> Acted | None:
    """The act that a clause says, which is taken out of it."""
    if match := _LEFT.search(words.text):
        return Acted(Act.LEFT_OVER, words.cut(match.start("all"), match.end("all")))
    for act in _ORDER:
        before, around, after = _compiled()[act]
        if around and (match := around.search(words.text)):
            end = words.cut(*match.span("end"))
            verb = words.raw(*match.span("verb"))
            words.cut(match.start("lead"), match.end("verb"))
            return Acted(act, f"{verb} {end}", _implied(match["verb"]), object_first=True)
        if match := before.search(words.text):
            said = words.raw(*match.span("all"))
            words.cut(match.start("lead"), match.end("all"))
            return Acted(act, said, _implied(match["all"]), object_first=True)
        if match := _after(after, words.text):
            ahead = words.within(0, max(match.start("all") - 1, 0))
            alone = only_adjectives([one for one in ahead if one.norm != HOLE])
            return Acted(
                act, words.cut(match.start("all"), match.end("all")), _implied(match["all"]), alone=alone
            )
    return None


def _after(pattern: re.Pattern[str], text: str) -> re.Match[str] | None:
    """The act behind a name: the longest match that has something before it, or is all."""
    matches = list(pattern.finditer(text))
    return max(matches, key=lambda one: len(one["all"]), default=None)


def _implied(verb: str) -> str | None:
    return next((kind for word, kind in _IMPLIED.items() if word in verb), None)
