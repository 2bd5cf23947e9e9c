"""Whether a reading accounts for its line: a second look, which shares nothing with the reading but its words.

Each word of a line has to be accounted for by what was read: an act, a joint, a name, a place, a relation, a note.
What is left over, and what stands where such a word never stands (an act inside a name, a number that is in no
joint, ``not`` beside an act), is what the question names.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from enum import Enum

from sequencer.machine.heard.joint import JointSaid
from sequencer.machine.heard.lexemes import Is, lexemes
from sequencer.machine.heard.words import Token, tokens_of
from sequencer.machine.kinds import kind_of_joint
from sequencer.spoken import vocabulary
from sequencer.spoken.values import Act, Care, Correction, Did, Line, Name, Same, Spill


class Why(Enum):
    """Why a reading is asked about."""

    LEFT = "left"
    NAME = "name"
    JOINT = "joint"
    NOTE = "note"
    OPEN = "open"
    SEVERAL = "several"


@dataclass(frozen=True)
class Doubtful:
    """Words that a reading does not account for, and why not."""

    why: Why
    words: str
    rule: str = ""


@dataclass
class Stretch:
    """Words of a line that one thing which was read accounts for."""

    role: str
    at: list[int]
    of: object = None


@dataclass
class Accounted:
    """Which word of a line stands for what."""

    tokens: Sequence[Token]
    stretches: list[Stretch] = field(default_factory=list)
    _words: list[tuple[str, int]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._words = [(word, at) for at, one in enumerate(self.tokens) for word in _words(one.raw)]

    def take(self, role: str, text: str, of: object = None) -> None:
        """The words of a text stand for something; where they stand together, or one by one."""
        words = _words(text)
        if not words:
            return
        free = [one for one, _ in self._words]
        start = next((n for n in range(len(free)) if free[n : n + len(words)] == words), None)
        if start is not None:
            taken = self._words[start : start + len(words)]
        else:
            taken = []
            for word in words:
                same = (one for one in self._words if word in (one[0], self.tokens[one[1]].norm) and one not in taken)
                taken += [next(same, ("", -1))]
        self._words = [one for one in self._words if one not in taken]
        at = sorted({place for _, place in taken if place >= 0})
        if at:
            self.stretches.append(Stretch(role, at, of))

    @property
    def left(self) -> list[int]:
        """Words that nothing accounts for."""
        return sorted({at for _, at in self._words})

    def norm(self, at: int) -> str:
        """A word as it is read; empty beyond the ends."""
        return self.tokens[at].norm if 0 <= at < len(self.tokens) else ""

    def norms(self, one: Stretch) -> list[str]:
        """The words of a stretch, as they are read."""
        return [self.tokens[at].norm for at in one.at]


def _words(text: str) -> list[str]:
    return [one.norm for one in tokens_of(text) if any(sign.isalnum() for sign in one.norm)]


def accounted(tokens: Sequence[Token], line: Line) -> Accounted:
    """What accounts for which word."""
    found = Accounted(tokens)
    for one in line.said:
        if isinstance(one, Did):
            for role, text, of in _texts(one):
                found.take(role, text, of)
        else:
            found.take("whole", one.words)
    for note in line.notes:
        found.take("note", note)
    return found


def _texts(did: Did) -> Iterator[tuple[str, str, object]]:
    if did.act.value is Act.TASK:
        yield "whole", did.text, did
        return
    for remark in did.remarks:
        yield ("note" if remark.care is Care.NOTE else "care"), remark.text, remark
    for joint in did.joints:
        yield "joint", joint.said, joint
    for way in did.way_of:
        if isinstance(way, Name):
            yield "way", way.words, way
    if did.before is not None and did.before.part is not None:
        yield "way", did.before.part.words, did.before.part
    if did.part is not None:
        yield "name", did.part.words or did.part.label, did.part
    for piece in did.act.words.split(", "):
        yield "act", piece, did.act
    for heard in (did.position, did.weight_kg, did.figure, did.before):
        if heard is not None:
            yield "other", heard.words, heard
    for tool in (did.tool.words if did.tool else "", *(joint.tool or "" for joint in did.joints)):
        yield "tool", tool, did
    for spill in did.spills:
        yield "spill", spill.amount, spill
        yield "spill", spill.fluid.words or spill.fluid.label, spill
    if did.figure is not None:
        yield "other", did.figure.source, did.figure


_WHY = {"left": Why.LEFT, "doubting": Why.OPEN, "several": Why.SEVERAL, "mishap": Why.OPEN}


def unclear(tokens: Sequence[Token], correction: Correction) -> bool:
    """A correction says more than what it puts right, or puts a name right that is none."""
    found = Accounted(tokens)
    for change in correction.changes:
        name = Name(str(change.value), None, change.words) if change.what == "part" else change
        found.take("name" if change.what == "part" else "other", change.words, name)
    named = [one for one in found.stretches if one.role == "name" and not {*found.norms(one)} <= {*vocabulary.describing(), *vocabulary.little()}]
    if any(True for one in named for _ in _in_name(found, one)):
        return True
    sorts = {at: lexemes(found.norm(at))[:1] for at in found.left}
    return any(
        found.norm(at) not in vocabulary.little() and found.norm(at) not in _CORRECTING and not (sort and sort[0].sort in (Is.NUMBER, Is.KIND, Is.HEAD, Is.FAMILY, Is.ADJECTIVE))
        for at, sort in sorts.items()
    )


_CORRECTING = {"sorry", "wrong", "correction", "correct", "actually", "mean", "meant", "mistake", "scratch", "should", "have", "been", "make", "said", "say", "oops", "change", "wait", "hang", "hold", "nope", "rather", "instead", "not", "fact", "got", "must", "i", "meaning"}


def doubts(tokens: Sequence[Token], line: Line) -> list[Doubtful]:
    """What of a line its reading does not account for."""
    found = []
    for rule, words in _doubts(tokens, line):
        kind = rule.split(":")[0]
        why = Why.NAME if kind in ("name", "way") else Why.NOTE if kind == "note" else _WHY.get(rule, Why.JOINT)
        found.append(Doubtful(why, words, rule))
    return found


def _doubts(tokens: Sequence[Token], line: Line) -> list[tuple[str, str]]:
    """What of a line its reading does not account for: why, and the words."""
    if not line.said:
        return []
    found = accounted(tokens, line)
    return [*_left(found, line), *_misplaced(found, line)]


def _left(found: Accounted, line: Line) -> Iterator[tuple[str, str]]:
    """Words that carry something, and that nothing accounts for."""
    dids = [one for one in line.said if isinstance(one, Did)]
    if any(did.act.value is Act.TASK for did in dids):
        return
    joints = [one for did in dids for one in did.joints]
    known = {str(value) for one in joints for value in (one.count, one.head)}
    spoken: set[str] = set()
    if any(did.way_of or did.before for did in dids):
        spoken |= {*vocabulary.happening(), *vocabulary.doubting(), "way", "room", "access", "clear", "space", "otherwise"}
    if any(did.spills or did.figure or did.weight_kg for did in dids):
        spoken |= {*vocabulary.happening(), "torque", "figure", "value", "max", "according"}
    odd = [at for at in found.left if not (found.norm(at) in known or found.norm(at) in spoken or _idle(found, at, joints))]
    if odd:
        yield "left", " ".join(found.tokens[at].raw for at in odd)


def _idle(found: Accounted, at: int, joints: Sequence[JointSaid]) -> bool:
    word = found.norm(at)
    kinds = {one.kind for one in joints}
    if any(one.sort is Is.KIND and one.value.name in kinds for one in lexemes(word)):
        return True
    then = found.norm(at + 1) == "and" and _role(found, at + 2) == "act"
    if word in vocabulary.happening() and (then or _role(found, at + 1) == "joint" or _role(found, at - 1) == "name"):
        return True
    return (word in vocabulary.little() and word not in _TELLING) or word in _IDLE


_TELLING = {*"each top bottom back side sides end ends left right still only last again behind under above below inside outside between near".split()}
"""Little words that tell something all the same: they are kept, or asked about."""


def _role(found: Accounted, at: int) -> str:
    return next((one.role for one in found.stretches if at in one.at), "")


_IDLE = {"both", "forgot", "managed", "ive", "weve", "thats", "bag", "in", "box", "tin", "tub", "jar", "needed", "used", "using", "use", "missed", "put", "got", "hold", "holds", "holding"}

_JOINING = {"of", "to", "for", "from", "and", "the", "on", "in", "at", "behind", "under", "between", "with", "a", "by", "over", "above", "below", "near", "off", "up", "down", "way", "&", "side", "end", "half", "piece"}
_CUTTING = {"of", "to", "for", "from", "on", "in", "at", "behind", "under", "between", "with", "by", "over", "above", "below", "near"}
_AT_END = {"left", "right", "front", "rear", "upper", "lower", "top", "bottom", "side", "1", "2", "3", "4", "5", "6", "one", "two", "three", "four", "and", "complete", "assembly"}


def _misplaced(found: Accounted, line: Line) -> Iterator[tuple[str, str]]:
    """Words where no such word stands."""
    for one in found.stretches:
        if one.role in ("name", "way") and isinstance(one.of, Name) and one.of.key is None:
            for why, words in (*_in_name(found, one), *_beside_name(found, one)):
                yield f"{one.role}:{why}", words
        elif one.role == "joint":
            yield from _in_joint(found, one)
        elif one.role == "note":
            yield from _in_note(found, one)
    acts = [one for one in line.said if isinstance(one, Did) and one.act.value not in (Act.TASK, Act.NOTE)]
    noted = {at for one in found.stretches if one.role in ("note", "care", "spill") for at in one.at}
    no = [at for at in range(len(found.tokens)) if found.norm(at) in vocabulary.doubting() and at not in noted]
    words = " ".join(one.norm for one in tokens_of_found(found))
    if acts and (but := _BUT.search(words)):
        yield "doubting", but[0]
    if acts and no and not any(did.way_of or did.spills for did in acts):
        yield "doubting", " ".join(found.norm(at) for at in no)
    if len(acts) > 1 and not all(did.part is not None and (did.part.key or vocabulary.is_thing(did.part.label)) for did in acts):
        yield "several", ""
    for did in acts:
        verb = did.act.words.split()[0] if did.act.words else ""
        if did.act.value is Act.OFF and did.part is not None and verb in _MISHAPS:
            first = [o for o in found.stretches if o.of is did.part]
            if first and found.norm(first[0].at[0] - 1) in ("a", "an", "1", "one", "2"):
                yield "mishap", did.part.label


_BUT = re.compile(r"\b(?:bar|except|apart from|all but|other than)(?= (?:for )?(?:the|1|one|2|two|a)\b)")


def tokens_of_found(found):
    return found.tokens


_MISHAPS = ("dropped", "lost", "broke", "cut", "stripped", "knocked")


def _in_name(found: Accounted, one: Stretch) -> Iterator[tuple[str, str]]:
    """Words that no name has."""
    words = found.norms(one)
    known = (*vocabulary.nouns(), *vocabulary.describing())
    odd = [
        word
        for word, following in zip(words, [*words[1:], ""], strict=True)
        if word in vocabulary.happening() and not (word in vocabulary.plain() and following in vocabulary.nouns())
    ]
    if odd:
        yield "verb", " ".join(odd)
    if odd := [w for w in words if w in vocabulary.little() and w not in _JOINING and w not in known]:
        yield "little", " ".join(odd)
    cut = next((n for n, word in enumerate(words) if n and word in _CUTTING), len(words))
    head = words[:cut]
    held = _role(found, one.at[-1] + 1) == "joint" and not found.norm(one.at[-1] + 1)[:1].isdigit()
    while len(head) > 1 and head[-1] in _AT_END and not held:
        head.pop()
    last = head[-1]
    if held and last in _AT_END:
        yield "whose", last
    unknown = [word for word in words if word not in known and word not in vocabulary.little() and not vocabulary.nearly(word)]
    poled = len(head) > 1 and last in ("negative", "positive", "earth", "live", "neutral")
    if last not in vocabulary.nouns() and not poled and (last in vocabulary.done() or last in vocabulary.describing()):
        yield "state", last
    elif last in unknown and not (_edge(found, one.at[0] - 1, first=True) and _edge(found, one.at[-1] + 1, first=False)):
        yield "unknownhead", last
    if len(unknown) > 1:
        yield "unknown", " ".join(unknown)
    if len([word for word in words if word not in vocabulary.little()]) > 4:
        yield "long", " ".join(words)


def _beside_name(found: Accounted, one: Stretch) -> Iterator[tuple[str, str]]:
    """What stands right before or behind a name and may belong to it."""
    first, last = one.at[0], one.at[-1]
    if found.norm(first - 1) == "the" and found.norm(first - 2) == "of" and found.norm(first - 3) in _SOME:
        yield "oneof", ""
    if found.norm(last) == "left" and found.norm(last + 1).endswith(("ing", "on", "in")):
        yield "left", "left"
    for other in found.stretches:
        if other.at[-1] != first - 1:
            continue
        if other.role == "tool":
            yield "behindtool", " ".join(found.norms(other))
        bare = isinstance(other.of, JointSaid) and not other.of.counted and other.of.head is None
        if other.role == "joint" and bare:
            yield "behindjoint", " ".join(found.norms(other))


_SOME = ("1", "one", "2", "3", "some", "most", "half")


def _edge(found: Accounted, at: int, *, first: bool) -> bool:
    """A name can't go on there: a sign, an act, a joint, or a word that says nothing."""
    word = found.norm(at)
    if not word or not word[0].isalnum() or (first and word in vocabulary.little()):
        return True
    return _role(found, at) in ("act", "joint")


_BARE = ("hook", "hose", "spring", "latch", "fit", "cable", "seal", "terminal")
_HEADLESS = ("hook", "hose", "spring", "fit", "cable")
_MOST = 40


def _in_joint(found: Accounted, one: Stretch) -> Iterator[tuple[str, str]]:
    """Words and numbers that no joint has."""
    joint, words = one.of, found.norms(one)
    assert isinstance(joint, JointSaid)
    bare = not joint.counted and joint.head is None and joint.thread is None and not joint.family
    before = found.norm(one.at[0] - 1)
    listed = before in ("and", "a", "an", "its", "one", "1", "plus", "&") or words[0] in ("a", "an", "1")
    if bare and joint.kind in _BARE and not (listed or len(words) > 1):
        yield "barething", joint.said
    small = (joint.head or "").isdecimal() and int(joint.head or 0) < 7
    if small and not (joint.kind or joint.counted or joint.thread or joint.tool or joint.family):
        yield "barehead", joint.said
    if joint.kind in _HEADLESS and joint.head and joint.head != "hand" and not joint.tool:
        yield "headless", joint.said
    if joint.count is not None and joint.count > _MOST:
        yield "many", joint.said
    lead = [found.norm(one.at[0] - n) for n in (1, 2)]
    if not joint.counted and ("with" in lead or words[0] == "with") and joint.kind in ("pin", *_HEADLESS, "strap", "latch"):
        yield "tooled", joint.said
    numbers = {n for word in words for n in re.findall(r"\d+(?:\.\d+)?", word)}
    have = re.findall(r"\d+(?:\.\d+)?", f"{joint.count} {joint.head} {joint.thread} {joint.length_mm} {joint.property_class} {joint.tool} {joint.torque} {joint.word} {joint.label}")
    lost = [n for n in numbers if n not in have and f"{float(n):g}" not in have and len(line_joints(found)) == 1]
    if lost and not joint.doubts:
        yield "number", " ".join(lost)
    kinds = [lex for lex in lexemes(" ".join(words[:3])) if lex.start == 0 and lex.sort is Is.KIND]
    if not kinds and words[0] in vocabulary.nouns() and not words[0][:1].isdigit() and _role(found, one.at[0] - 1) == "name" and not lexemes(words[0])[0].sort in (Is.FAMILY, Is.HEAD):
        yield "swallowed", words[0]
    name_kind = [lex for lex in lexemes(before) if lex.sort is Is.KIND]
    if name_kind and words[0].isdigit() and int(words[0]) > 6 and len(words) > 1 and _role(found, one.at[0] - 1) == "name":
        yield "whose", words[0]


def line_joints(found: Accounted) -> list[Stretch]:
    return [one for one in found.stretches if one.role == "joint"]


def _in_note(found: Accounted, one: Stretch) -> Iterator[tuple[str, str]]:
    """What was kept as a note and stands right beside what was read: more of it, or something else."""
    words = found.norms(one)
    if words[0] in ("before", "after", "once", "until", "unless") and any(w in vocabulary.nouns() for w in words[1:]):
        yield "note:when", " ".join(words)
    beside = [_role(found, at) for at in (one.at[0] - 1, one.at[-1] + 1)]
    if not {"joint", "name", "act"} & {*beside}:
        return
    found_ = lexemes(" ".join(words))
    if any(n and words[n - 1] in vocabulary.nouns() and word in _ACTS for n, word in enumerate(words)):
        yield "note:act", " ".join(words)
    if any(lex.sort in (Is.HEAD, Is.FAMILY, Is.THREAD) for lex in found_):
        yield "note:head", " ".join(words)
    if any(a.sort is Is.NUMBER and b.sort is Is.KIND for a, b in zip(found_, found_[1:], strict=False)):
        yield "note:counted", " ".join(words)
    if any(w.isdigit() and n in vocabulary.nouns() and n.endswith("s") for w, n in zip(words, words[1:], strict=False)):
        yield "note:digit", " ".join(words)


_ACTS = {*"off out undone unhooked unclipped unplugged removed loosened slackened unbolted unscrewed disconnected released lifted undid took".split()}
