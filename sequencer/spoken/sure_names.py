"""Whether words that were read as a name look like one."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.machine.heard.joint import JointSaid
from sequencer.machine.heard.lexemes import Is, lexemes
from sequencer.spoken import vocabulary
from sequencer.spoken.accounts import Accounts, LineStretch, Role
from sequencer.spoken.values import Name

_POLES = ("negative", "positive", "earth", "live", "neutral")
_SOME = ("1", "one", "2", "3", "some", "most", "half")
_LONGEST = 5
_UNKNOWN = 2
_UP = frozenset({"off", "down", "up", "out"})


def odd_name(found: Accounts, one: LineStretch) -> Iterator[str]:
    """The name, where it has words that no name has, or ends with none, or may begin or go on beside it."""
    if not isinstance(one.of, Name) or one.of.key is not None:
        return
    words = found.norms(one)
    if any(found.norm(at) in ("+", "&") for at in range(one.at[0], one.at[-1])):
        yield one.of.words or one.of.label  # hand wheel + key: one thing or two?
        return
    if _no_words_of_a_name(words) or _no_thing(found, one, words) or _cut_off(found, one):
        yield one.of.words or one.of.label


def _no_words_of_a_name(words: list[str]) -> bool:
    """A verb (not one that tells of the thing behind it: swing arm), a little word, too many unknown ones."""
    known = vocabulary.nouns() | vocabulary.describing()
    little, joining = vocabulary.little(), vocabulary.words("cutting") | vocabulary.words("joining")
    for word, following in zip(words, [*words[1:], ""], strict=True):
        told = word in vocabulary.plain() and following and (following not in little or following in _UP)
        if (word in vocabulary.happening() and not told) or (
            vocabulary.ends_as_done(word) and (not following or following in little)
        ):
            return True
        if word in little and word not in joining and word not in known:
            return True
    unknown = [one for one in words if one not in known | little and not vocabulary.nearly(one)]
    return len(unknown) > _UNKNOWN or sum(one not in little for one in words) > _LONGEST


def _no_thing(found: Accounts, one: LineStretch, words: list[str]) -> bool:
    """It ends with a state or a place; an unknown word is a thing only between certain borders."""
    cutting, trailing = vocabulary.words("cutting"), vocabulary.words("trailing")
    head = words[: next((n for n, word in enumerate(words) if n and word in cutting), len(words))]
    behind = one.at[-1] + 1
    held = found.role(behind) is Role.JOINT and not found.norm(behind)[:1].isdigit()
    if held and head[-1] in trailing:
        return True  # rear shock top bolt 17: whose is the top?
    while len(head) > 1 and head[-1] in trailing:
        head.pop()
    last = head[-1]
    (first, *_) = lexemes(" ".join(words))
    if first.sort is Is.TOOL and first.text == " ".join(words) and words[-1] not in vocabulary.nouns():
        return True
    if last in vocabulary.nouns() or (len(head) > 1 and last in _POLES):
        return False
    if last in vocabulary.done() or last in vocabulary.describing():
        return True
    bordered = _border(found, one.at[0] - 1, first=True) and _border(found, behind, first=False)
    return not bordered and not vocabulary.nearly(last) and last not in vocabulary.little()


def _border(found: Accounts, at: int, *, first: bool) -> bool:
    """A name can't go on there: a sign, an act, a joint, or before it a word that says nothing."""
    word = found.norm(at)
    if not word or not word[0].isalnum() or (first and word in vocabulary.little()):
        return True
    return found.role(at) in (Role.ACT, Role.JOINT)


def _cut_off(found: Accounts, one: LineStretch) -> bool:
    """What stands beside it may belong to it: saw | table, bolt | head covers, one of the | heads."""
    first, last = one.at[0], one.at[-1]
    if found.norm(first - 1) == "the" and found.norm(first - 2) == "of" and found.norm(first - 3) in _SOME:
        return True
    if found.role(first - 1) is Role.ACT and found.norm(first - 1) in vocabulary.words("taking"):
        return True  # pull | cord housing
    if found.norm(last) == "left" and found.norm(last + 1).endswith(("ing", "on", "in")):
        return True
    if found.norm(first - 2) in ("with", "by", "using") and found.norm(first - 1) in ("the", "a", "my"):
        return True
    before = next((other for other in found.stretches if other.at[-1] == first - 1), None)
    if before is None:
        return False
    bare = isinstance(before.of, JointSaid) and not before.of.counted and before.of.head is None
    return before.role is Role.TOOL or (before.role is Role.JOINT and bare)
