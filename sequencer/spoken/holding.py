"""Words by which a clause says what held a part: ``held with``, ``that has``, ``which hold``."""

from __future__ import annotations

import re

from sequencer.machine.heard.joint import joints_in
from sequencer.machine.heard.lexemes import Is, lexemes
from sequencer.machine.heard.tokens import HOLE, Token, Words
from sequencer.spoken import vocabulary

_OF_IT = re.compile(
    r"^(?:(?:and|but|so|well) )*(?:(?:that|it|this|which|they|these|those|there) )?"
    r"(?:(?:only|just|all|also) )*"
    r"(?:is|was|are|were|has|had|have|takes|took|got|with)(?: (?:only|just|all|also|been|got))* (?=\w)"
)


def of_joints_alone(words: Words) -> Words | None:
    """``that has a woodruff key and a nut on it``: the joints of what was named, and nothing else."""
    match = words.find(_OF_IT)
    if match is None:
        return None
    rest = Words(words.tokens[len(match[0].split()) :])
    left = Words(rest.tokens)
    if not joints_in(left) or any(one.norm == HOLE for one in words.tokens):
        return None
    others = [one.norm for one in left.tokens if one.norm != HOLE]
    return rest if all(one in vocabulary.little() and one not in _STATES for one in others) else None


_STATES = frozenset({"not", "no", "off", "out", "still", "left", "tight", "bad", "than", "by", "with"})
"""Words beside joints that say how they are."""


_HELD = re.compile(
    r"(?<= )(?:(?:is|are|was|were|only|just) )*(?:held|hung|hooked)"
    r"(?: on| in| down| up| together| to the \w+)? (?:with|by|on) "
    r"(?:just |only )?(?=(?:\d|a |an |the ))"
)


_HOLDS = re.compile(
    r"(?<= )(?:(?:that|which) )?(?:holds?|holding|secur(?:es?|ing)|retain(?:s|ing)) (?:down |up |on |in )?"
    r"(?=(?:the|my|its) )"
)


def held_by(words: Words) -> None:
    """``three 12s holding the bracket`` are those of the bracket."""
    if (held := words.find(_HELD)) and lexemes(words.text[held.end() :])[0].sort is Is.NUMBER:
        words.cut(held.start(), held.end())
        return
    match = words.find(_HOLDS)
    before = words.text[: match.start()] if match else ""
    if match and any(one.sort in (Is.KIND, Is.HEAD, Is.SIZES, Is.EACH) for one in lexemes(before)):
        words.tokens[len(before.split())] = Token("of", words.cut(match.start(), match.end()))
