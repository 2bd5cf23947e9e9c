"""Whether a reading accounts for its line: a second look, which shares but the words with the reading.

Each word of a line has to be accounted for by what was read: an act, a joint, a name, a place, a relation, a
note. What is left over, and what stands where such a word never stands (an act inside a name, a number that
is in no joint, ``not`` beside an act), is asked about: a wrong reading costs more than a question. All rules
here are common practice, from how people talk; what a word can be is in ``data/words.toml``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise

from sequencer.machine.heard.joint import JointSaid
from sequencer.machine.heard.lexemes import Is, lexemes
from sequencer.machine.heard.spelling import mended
from sequencer.machine.heard.tokens import Token, tokens_of
from sequencer.spoken import vocabulary
from sequencer.spoken.accounts import Accounts, LineStretch, Role, accounts_of
from sequencer.spoken.clauses import clauses
from sequencer.spoken.likewise import SEVERAL
from sequencer.spoken.names import only_adjectives
from sequencer.spoken.sure_pieces import odd_joint, odd_name
from sequencer.spoken.values import Act, Care, Correction, Did, Heard, Line, Name, Same


class DoubtReason(Enum):
    """Why a reading is asked about."""

    LEFT = "left"
    NAME = "name"
    WAY = "way"
    SAME = "same"
    JOINT = "joint"
    NOTE = "note"
    OPEN = "open"
    LONG = "long"
    SEVERAL = "several"


@dataclass(frozen=True)
class Doubtful:
    """Words that a reading does not account for, and why not."""

    why: DoubtReason
    words: str


def doubts(tokens: Sequence[Token], line: Line) -> list[Doubtful]:
    """What of a line its reading does not account for; nothing where nothing was read but notes."""
    if not line.said:
        return []
    found = accounts_of(tokens, line)
    text = " ".join(one.norm for one in tokens)
    several = SEVERAL.search(text) if any(isinstance(one, Same) for one in line.said) else None
    dids = [one for one in line.said if isinstance(one, Did)]
    return [
        *_acts(found, dids),
        *_left_over(found, dids),
        *(
            Doubtful(DoubtReason.NAME if one.role is Role.NAME else DoubtReason.WAY, words)
            for one in found.by(Role.NAME, Role.WAY)
            for words in odd_name(found, one)
        ),
        *_same_odd(line),
        *(
            Doubtful(DoubtReason.JOINT, words)
            for one in found.by(Role.JOINT)
            for words in odd_joint(found, one)
        ),
        *(
            Doubtful(DoubtReason.NOTE, words)
            for one in found.by(Role.NOTE)
            for words in _odd_note(found, one)
        ),
        *_several(dids),
        *([Doubtful(DoubtReason.LEFT, several[0])] if several else []),
        *_much_at_once(tokens, found),
    ]


_MANY_CLAUSES = 5


def _much_at_once(tokens: Sequence[Token], found: Accounts) -> Iterator[Doubtful]:
    """A long line of which several pieces were only kept: it is read back and asked about as a whole."""
    things = vocabulary.nouns()
    told = (found.norms(one) for one in found.by(Role.NOTE))
    notes = sum(1 for words in told if any(word in things or word.isdecimal() for word in words))
    if notes > 1 and len(list(clauses(list(tokens)))) >= _MANY_CLAUSES:
        yield Doubtful(DoubtReason.LONG, "")


def _same_odd(line: Line) -> Iterator[Doubtful]:
    """``same at the head``: what the same was done to is no thing for certain."""
    told = False
    for one in line.said:
        if told and isinstance(one, Did) and one.part is None and one.joints:
            yield Doubtful(DoubtReason.SAME, one.joints[0].said)  # one screw more: that many, or more?
        told = told or isinstance(one, Same)
        if isinstance(one, Same) and one.part is None and not one.side and line.notes:
            yield Doubtful(DoubtReason.SAME, line.notes[0])
        name = one.part if isinstance(one, Same) else None
        if name is None or name.key is not None or vocabulary.is_thing(name.label):
            continue
        if not only_adjectives(tokens_of(name.label)):
            yield Doubtful(DoubtReason.SAME, name.label)


def unclear(tokens: Sequence[Token], correction: Correction, last: Did | None) -> bool:
    """A correction says more than what it puts right, or puts a name right that is none."""
    found = Accounts(tokens)
    part = last.part.label if last is not None and last.part is not None else ""
    wrong = {*part.casefold().split()} if any(one.what == "part" for one in correction.changes) else set()
    for change in correction.changes:
        role = Role.NAME if change.what == "part" else Role.FACT
        found.take(role, change.words, Name(str(change.value), None, change.words))
    places = {*vocabulary.describing(), *vocabulary.little()}
    names = [one for one in found.by(Role.NAME) if not {*found.norms(one)} <= places]
    if any(True for one in names for _ in odd_name(found, one)):
        return True
    left = [found.norm(at) for at in found.left]
    anew = vocabulary.retold([one.norm for one in tokens if one.norm not in ("no", "sorry", "actually")])
    number = any(one.isdecimal() and int(one) > 1 for one in left) and "not" not in left and not anew
    return number or any(not _of_correcting(one) for one in left if one not in wrong)


def may_be_more(words: str) -> bool:
    """Words beside what was read hold a joint or a correction: elsewhere they are no more than a note."""
    text = " ".join(one.norm for one in mended(tokens_of(words)))
    if _HOW_MANY.fullmatch(text):
        return False
    return any(one.sort in _OF_JOINTS for one in lexemes(text)) or vocabulary.retold(text.split())


_HOW_MANY = re.compile(
    r"(?:and |in |for |needs |about |took )*\d+ (?:more )?(?:full )?"
    r"(?:men|people|hands|of us|turns?|cm|halves|pieces|bits|minutes|hours|days|years)\b.*"
    r"|(?:and |but )*1 (?:under|behind|over|above|below|beside|near|hidden|at|on|in|by) .*"
)
"""A number that counts no joints, or tells where one of them is."""


_OF_JOINTS = (Is.NUMBER, Is.KIND, Is.HEAD, Is.FAMILY, Is.THREAD, Is.SIZES)


def _of_correcting(word: str) -> bool:
    known = word in vocabulary.little() or word in vocabulary.words("correcting")
    return known or lexemes(word)[0].sort in (Is.NUMBER, Is.KIND, Is.HEAD, Is.FAMILY, Is.ADJECTIVE)


# ---- Words that are left over, and acts that may be none ----


def _left_over(found: Accounts, dids: Sequence[Did]) -> Iterator[Doubtful]:
    """Words that carry something, and that nothing accounts for."""
    if any(did.act.value is Act.TASK for did in dids):
        return
    joints = [one for did in dids for one in did.joints]
    told = {str(value) for one in joints for value in (one.count, one.head)}
    if any(did.way_of or did.before for did in dids):
        told |= vocabulary.happening() | vocabulary.doubting() | vocabulary.words("relating")
    told |= {word for one in found.by(Role.NAME, Role.WAY) for word in found.norms(one)}
    if any(one.care is Care.BAG for did in dids for one in did.remarks):
        told |= vocabulary.nouns()
    if any(did.spills or did.figure or did.weight_kg for did in dids):
        told |= vocabulary.happening() | vocabulary.words("measuring")
    odd = [at for at in found.left if not (found.norm(at) in told or _idle(found, at, joints))]
    if odd:
        yield Doubtful(DoubtReason.LEFT, " ".join(found.tokens[at].raw for at in odd))


def _idle(found: Accounts, at: int, joints: Sequence[JointSaid]) -> bool:
    """A word that says no more: of; the kind of a joint; the lesser of two acts, pulled and out."""
    word = found.norm(at)
    kinds = {one.kind for one in joints}
    if any(one.sort is Is.KIND and one.value.name in kinds for one in lexemes(word)):
        return True
    lesser = found.norm(at + 1) == "and" and found.role(at + 2) is Role.ACT
    lesser = lesser or found.role(at + 1) is Role.JOINT or found.role(at - 1) is Role.NAME
    last = not found.norm(at + 1)
    only = found.role(at - 1) is Role.JOINT and not found.norm(at + 1).isalnum()  # plug only
    if word in ("only", "just") and (only or _only_so(found, at)):
        return True
    denied = any(found.norm(at - n) == "no" and found.norm(at - n + 2) in ("just", "only") for n in range(3))
    if denied or (word == "drain" and found.role(at + 1) is Role.JOINT):
        return True  # no bolts just clips; the oil drain screw
    by_hand = word == "hand" and found.norm(at - 1) == "by"
    if by_hand or (found.tokens[at].raw.casefold() == "both" and not last) or _around(found, at):
        return True
    if word in vocabulary.happening() and lesser:
        return "connector" in kinds or word not in vocabulary.words("unplugging")
    return word in vocabulary.words("idle") or (
        word in vocabulary.little() and word not in vocabulary.words("telling")
    )


def _only_so(found: Accounts, at: int) -> bool:
    """``only slackened``, ``loosened only``, ``only got one bolt``: no more than it says."""
    little = (Act.LOOSE, Act.ASIDE, Act.UNDONE)
    acts = (one for one in found.by(Role.ACT) if at + 1 in one.at or at - 1 in one.at)
    if any(isinstance(one.of, Heard) and one.of.value in little for one in acts):
        return True
    held = found.role(at + 1) is Role.JOINT or found.role(at + 2) is Role.JOINT
    return held and (found.role(at + 1) is Role.JOINT or found.norm(at + 1) in ("got", "a", "the", "held"))


def _around(found: Accounts, at: int) -> bool:
    """``took`` of ``took .. out``, of which the end alone was read; ``unscrewed the four screws and``."""
    ends = ("off", "out", "away", "down", "apart")
    taking = found.norm(at) in vocabulary.taking() and found.norm(at) not in vocabulary.words("unplugging")
    if taking and any(found.norms(one)[0] in ends and one.at[0] > at for one in found.by(Role.ACT)):
        return True
    if found.norm(at) not in vocabulary.happening() | {"cut", "drilled"}:
        return False
    behind = (n for n in range(at + 1, at + 4) if found.role(n) is Role.JOINT)
    little = vocabulary.little()
    return any(all(found.norm(n) in little for n in range(at + 1, end)) for end in behind)


def _acts(found: Accounts, dids: Sequence[Did]) -> Iterator[Doubtful]:
    """Acts that were not done, or not by that line, or that are none."""
    acts = [one for one in dids if one.act.value not in (Act.TASK, Act.NOTE)]
    if not acts:
        return
    if but := _BUT.search(" ".join(one.norm for one in found.tokens)):
        yield Doubtful(DoubtReason.OPEN, but[0])
    kept = {at for one in found.by(Role.NOTE, Role.CARE, Role.SPILL) for at in one.at}
    doubting = vocabulary.doubting()
    open_ = [
        found.norm(at) for at in range(len(found.tokens)) if found.norm(at) in doubting and at not in kept
    ]
    if not open_ and any(not did.act.said for did in acts):
        notes = (" ".join(found.norms(one)) for one in found.by(Role.NOTE))
        open_ = [one[0] for one in map(_NOT_DONE.search, notes) if one]
    if open_ and not any(did.way_of or did.spills for did in acts):
        yield Doubtful(DoubtReason.OPEN, " ".join(open_))
    for did in dids[1:]:
        first = did.act.words.casefold().split()[:1]
        tells = first and first[0].endswith("s") and first[0] in vocabulary.happening()
        if tells and not did.joints:
            yield Doubtful(DoubtReason.OPEN, did.act.words)  # the latch flips up: done, or how it goes
        if did.act.value is Act.LOOSE and did.act.words.split()[:1] in (["is"], ["are"], ["was"]):
            yield Doubtful(DoubtReason.OPEN, did.act.words)  # the key is loose in there
    for did in acts:
        if (
            did.act.words.casefold().startswith(("all ", "both "))
            and did.part
            and not did.part.label.endswith("s")
        ):
            yield Doubtful(
                DoubtReason.OPEN, did.act.words
            )  # shaft gear bushing all pressed out: of how many things?
        name = next((one for one in found.by(Role.NAME) if one.of is did.part), None)
        mishap = did.act.words.split()[:1] in _MISHAPS and name is not None
        if mishap and name and found.norm(name.at[0] - 1) in ("a", "an", "1", "one", "2"):
            yield Doubtful(DoubtReason.OPEN, did.act.words)


def _several(dids: Sequence[Did]) -> Iterator[Doubtful]:
    """More acts than one, where a part of them may be none."""
    acts = [one for one in dids if one.act.value not in (Act.TASK, Act.NOTE)]
    if len(acts) > 1 and not all(_plain(did) for did in acts):
        yield Doubtful(DoubtReason.SEVERAL, "")


def _plain(did: Did) -> bool:
    """Of several acts in a line, one whose part is a thing beyond doubt."""
    return did.part is not None and (did.part.key is not None or vocabulary.is_thing(did.part.label))


_BUT = re.compile(r"\b(?:bar|except|apart from|all but|other than)(?= (?:for )?(?:the|1|one|2|two|a)\b)")
_NOT_DONE = re.compile(
    r"\b(?:not|isnt|arent|wont|cant|couldnt|didnt|never|nearly|almost|still)\b.{0,20}"
    r"\b(?:off|out|on|in|yet|done|undone|loose|come|move|moved|budge|removed|touched)\b"
)
_MISHAPS = (["dropped"], ["lost"], ["broke"], ["cut"], ["stripped"], ["knocked"])
"""A cover was dropped with its bolts, a washer was dropped into it."""


# ---- Notes ----


def _uncounted(found: Accounts) -> bool:
    """A joint of which nobody said how many."""
    joints = (one.of for one in found.by(Role.JOINT))
    return any(isinstance(one, JointSaid) and one.count is None for one in joints)


_HOLDING = frozenset("held by with at its the on in fixed secured and is was only just a of".split())  # noqa: SIM905
"""Words before a joint that say no more than that it holds: held by two clips."""
_NEVER_JOINTS = ("washer", "washers", "spacer", "spacers", "shim", "shims")
"""Things beside joints that hold nothing."""

_PARTS_OF_IT = {"turns", "steps", "stages", "halves", "pieces", "parts", "sides"}
"""Behind a number they count no joints: slackened two turns, off in two halves."""

_OPEN_ENDED = ("of", "on", "by", "with", "the", "a", "an", "to", "at", "in", "from", "for", "its")
"""A note that ends so was torn: something was read out of its midst."""


def _odd_note(found: Accounts, one: LineStretch) -> Iterator[str]:
    """A note that may be more: when something was done or, right beside what was read, an act or a joint."""
    words = found.norms(one)
    holds = _HOLDING.issuperset(words) and found.role(one.at[-1] + 1) is Role.JOINT
    if holds or words[:2] in (["left", "it"], ["left", "them"]) or words[-1] in _NEVER_JOINTS:
        return
    text = " ".join(words)
    nouns = vocabulary.nouns()
    beside = {found.role(one.at[0] - 1), found.role(one.at[-1] + 1)} & {Role.JOINT, Role.NAME, Role.ACT}
    cut = lexemes(text)
    pairs = list(pairwise(words))
    acted = any(True for _ in found.by(Role.ACT))
    threaded = words[0] in ("into", "onto") and found.role(one.at[0] - 1) is Role.JOINT and not acted
    if words in (["in"], ["on"]) or threaded:
        yield text  # cover screws in, 4 torx 25: put in, or left in?
        return
    when = words[0] in vocabulary.words("timing") and any(word in nouns for word in words[1:])
    odd = (
        any(a in nouns and b in vocabulary.words("undoing") for a, b in pairs)
        or any(lex.sort in (Is.HEAD, Is.FAMILY, Is.THREAD) for lex in cut)
        or any(a.isdigit() and b in nouns - _PARTS_OF_IT and b.endswith("s") for a, b in pairs)
    )
    bare = any(isinstance(j.of, JointSaid) and j.of.kind is None for j in found.by(Role.JOINT))
    odd = odd or (bare and any(lex.sort is Is.KIND for lex in cut))
    torn = words[-1] in _OPEN_ENDED and found.role(one.at[-1] + 1) not in (None, Role.CARE)
    number = len(one.at) == 1 and words[0].isdecimal()
    number = number and (found.tokens[one.at[0]].raw.isdecimal() or _uncounted(found))
    # bottom cover: 3 screws T20
    held = found.norm(one.at[-1] + 1) in (":", ",") and found.role(one.at[-1] + 2) is Role.JOINT
    begins = not found.norm(one.at[0] - 1)[-1:].isalnum()
    owner = held and begins and vocabulary.is_thing(text) and words[0] not in vocabulary.words("cutting")
    if when or torn or number or owner or (beside and odd):
        yield text
