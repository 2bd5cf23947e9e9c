"""Whether words that were read as a name or as a joint look like one."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sequencer.machine.heard.joint import JointSaid
from sequencer.machine.heard.lexemes import Is, lexemes
from sequencer.machine.trade.kinds import kind_of_joint
from sequencer.spoken import vocabulary
from sequencer.spoken.accounts import Accounts, LineStretch, Role
from sequencer.spoken.values import Name

_POLES = ("negative", "positive", "earth", "live", "neutral")
_SOME = ("1", "one", "2", "3", "some", "most", "half")
_LONGEST = 5
_UNKNOWN = 2
_BEGIN_NAMES = frozenset("pull lift push drive feed bleed drain swing tow draw tap screw twist tip".split())  # noqa: SIM905
"""Verbs with which a name begins as well."""
_UP = frozenset({"off", "down", "up", "out"})


def odd_name(found: Accounts, one: LineStretch) -> Iterator[str]:
    """The name, where it has words that no name has, or ends with none, or may begin or go on beside it."""
    if not isinstance(one.of, Name) or one.of.key is not None:
        return
    words = found.norms(one)
    if one.role is Role.WAY and words[0].isdecimal():
        yield one.of.words or one.of.label  # in the way of two bolts?
        return
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
    acted = next(found.by(Role.ACT), None) is not None
    bordered = acted and _border(found, one.at[0] - 1, first=True) and _border(found, behind, first=False)
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
    if found.role(first - 1) is Role.ACT and found.norm(first - 1) in _BEGIN_NAMES:
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


# ---- Joints ----


_LOOSE = ("hook", "hose", "spring", "latch", "fit", "cable", "seal", "terminal")
"""Kinds that are as well things beside a part, or tools."""
_HEADLESS = ("hook", "hose", "spring", "fit", "cable", "strap")
_TOOLS_TOO = ("pin", "strap", "latch", *_HEADLESS)
_TWO_SIZES = re.compile(r"\d+ (?:and|or) \d+ [a-z]")
_MOST, _SMALL = 40, 7
_NUMBER = re.compile(r"\d+(?:\.\d+)?")


def odd_joint(found: Accounts, one: LineStretch) -> Iterator[str]:
    """A joint that may be something else, or whose numbers may be another one's."""
    joint, words = one.of, found.norms(one)
    assert isinstance(joint, JointSaid)
    sized = joint.head is not None or joint.thread is not None or bool(joint.family)
    before = found.norm(one.at[0] - 1)
    listed = before in ("and", "its", "plus", "&", *_ARTICLES) or words[0] in _ARTICLES
    by_hand = bool(joint.kind and (kind := kind_of_joint(joint.kind)) and kind.by_hand)
    lead = {before, found.norm(one.at[0] - 2), words[0]}
    anew = vocabulary.retold(words)
    small = (joint.head or "").isdecimal() and int(joint.head or 0) < _SMALL
    odd = (
        (not joint.counted and not sized and joint.kind in _LOOSE and not listed and len(words) == 1)
        or (small and not (joint.kind or joint.counted or joint.thread or joint.tool or joint.family))
        or (joint.kind in _HEADLESS and joint.head not in (None, "hand") and not joint.tool)
        or (joint.count or 0) > _MOST
        or (joint.thread is not None and not (joint.kind or joint.counted or joint.head))
        or (by_hand and not joint.counted and "with" in lead and joint.kind in _TOOLS_TOO)
        or (joint.counted and (joint.count or 0) >= _SMALL and joint.word in words and not anew)
        or (joint.counted and _TWO_SIZES.match(" ".join(words)) is not None)
        or _numbers_lost(found, joint, words)
        or _of_the_name(found, one, words)
        or _beside_unread(found, one, joint)
        or _behind_unread(found, one, joint)
        or _swapped(joint)
    )
    if odd:
        yield joint.said


_PIPES = ("pipe", "hose", "tube", "cable")
"""Things with which a kind begins: feed pipe union 17 is the union of the feed pipe."""
_ARTICLES = ("a", "an", "1", "one")


def _numbers_lost(found: Accounts, joint: JointSaid, words: list[str]) -> bool:
    """A number stands in its words and in none of its values."""
    if joint.doubts or vocabulary.retold(words) or sum(1 for _ in found.by(Role.JOINT)) > 1:
        return False
    each = (joint.count or 0) // 2  # both covers off, 4 bolts each
    facts = (joint.count, each, joint.head, joint.thread, joint.length_mm, joint.property_class)
    told = _NUMBER.findall(" ".join(map(str, (*facts, joint.tool, joint.torque, joint.word, joint.label))))
    return any(one not in told and f"{float(one):g}" not in told for one in _NUMBER.findall(" ".join(words)))


def _beside_unread(found: Accounts, one: LineStretch, joint: JointSaid) -> bool:
    """A size by itself behind a word that nothing has read, or a number before one: slotted 3 wires."""
    before, behind = one.at[0] - 1, one.at[-1] + 1
    bare = joint.kind is None and not joint.counted and found.role(before) is Role.NOTE
    number = found.norm(one.at[-1]).isdecimal() and (joint.family or " " in (joint.head or ""))
    things = found.norm(behind) in vocabulary.nouns() and found.norm(behind).endswith("s")
    things = things and found.norm(behind + 1) not in ("left", "still", "stay", "stays")
    return bare or bool(number and things and found.role(behind) is Role.NOTE)


_SPANNERED = 14
_FEW_MM = 6


def _swapped(joint: JointSaid) -> bool:
    """Numbers that are rarely so: screws of 20 mm, twelve 10 by themselves, ten nuts 6."""
    head = int(joint.head or 0) if (joint.head or "0").isdecimal() else 0
    count = (joint.count or 0) if joint.counted else 0
    screws = joint.kind == "screw" and head >= _SPANNERED and count > 1
    alone = joint.kind is None and count > _SMALL + 2 and head > _SMALL and not joint.said.endswith("s")
    return screws or alone or (joint.kind in ("bolt", "nut") and 0 < head <= _FEW_MM and count > _SMALL)


def _behind_unread(found: Accounts, one: LineStretch, joint: JointSaid) -> bool:
    """A size by itself, and before it a thing that was only kept: held by two T-bolts, 14 mm."""
    if joint.kind is not None or joint.counted:
        return False
    before = (note for note in found.by(Role.NOTE) if note.at[0] < one.at[0])
    notes = (found.norms(note) for note in before if not found.norm(note.at[0] - 1)[:1].isalnum())
    return any("thread" not in words and not vocabulary.nouns().isdisjoint(words) for words in notes)


def _of_the_name(found: Accounts, one: LineStretch, words: list[str]) -> bool:
    """What it begins with may belong to the name before it: suction flange 6 bolts, hub nut 27 split pin."""
    if found.role(one.at[0] - 1) is not Role.NAME:
        return False
    (first, *_) = lexemes(" ".join(words[:3]))
    noun = words[0] in vocabulary.nouns() and first.sort not in (Is.KIND, Is.FAMILY, Is.HEAD, Is.NUMBER)
    noun = noun or (first.sort is Is.KIND and len(words) > 1 and words[0] in _PIPES and words[1].isalpha())
    kind = any(lex.sort is Is.KIND for lex in lexemes(found.norm(one.at[0] - 1)))
    number = words[0].isdecimal() and int(words[0]) >= _SMALL and len(words) > 1
    return noun or (kind and number)
