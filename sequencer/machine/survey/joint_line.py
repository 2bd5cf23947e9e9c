"""A line that says what holds a part: ``5 bolts 10 mm, connector, hose clamp from under, 3 x T25 screws``."""

from __future__ import annotations

import re
from collections.abc import Callable

from sequencer.machine.heads import BY_HAND, head_in, no_tool, tool_for
from sequencer.machine.kinds import Kind, kind_of_joint, kind_words
from sequencer.machine.survey.said import Joint
from sequencer.machine.survey.words import AnswerError, key_of, pieces, unused
from sequencer.quantities import find_torque

_COUNTS = {
    word: number
    for number, words in enumerate(
        (
            "",
            "one a an single",
            "two pair both",
            "three",
            "four",
            "five",
            "six",
            "seven",
            "eight",
            "nine",
            "ten",
        )
    )
    for word in words.split()
} | {"eleven": 11, "twelve": 12, "dozen": 12}

_FILLERS = frozenset(
    [
        "the",
        "a",
        "an",
        "of",
        "its",
        "it",
        "with",
        "on",
        "by",
        "in",
        "is",
        "are",
        "held",
        "size",
        "head",
        "hex",
        "each",
        "x",
        "off",
        "at",
        "through",
        "and",
        "or",
        "some",
        "mm",
        "fixing",
        "type",
    ]
)

_THREAD = re.compile(
    r"(?<!spline )(?<!square )(?<!xzn )\bM(\d+(?:\.\d+)?)(?: ?x ?(\d\.\d+|1|2|3))?\b", re.IGNORECASE
)
_CLASS = re.compile(r"\b(?:class )?(8\.8|10\.9|12\.9)\b")
_FROM = re.compile(r"\b(?:all )?from (?:the )?(.+)$", re.IGNORECASE)
_BELOW = re.compile(r"\b(?:from )?(?:underneath|below|beneath)$", re.IGNORECASE)
_HAND = re.compile(r"\bby hand\b|\bhand[- ]tight\b|\bno tools?\b", re.IGNORECASE)
_LEADING = re.compile(
    r"^(\d{1,3})(?!\d)(?:[x×*] ?| [x×*](?=[ \d]) ?| ?off | ?)(?=\S)"
    r"(?!\s*(?:mm|in\b|inch|\"|/|\.|-?pt\b|[- ]?point))",
    re.IGNORECASE,
)
_TRAILING = re.compile(
    r"(?:^|\s)[x×*] ?(\d{1,3})\b|\((\d{1,3})\)|\b(\d{1,3}) ?(?:off|pcs|of them)\b", re.IGNORECASE
)
_BARE = re.compile(r"(?:^|\s)(\d{1,3}(?:\.\d{1,2})?|(?:\d{1,2}-)?\d{1,2}/\d{1,2})(?=\s|$)")

_ALSO = {
    "wiring": "connector",
    "wire": "connector",
    "harness": "connector",
    "wiring plug": "connector",
    "electrical plug": "connector",
    "push-fit": "coupling",
    "jointing": "seal",
    "allen bolt": "bolt",
    "torx": "screw",
    "peg": "clip",
    "stud bolt": "stud",
}
"""Words for a kind that a file should not have, but a person says."""


def parse_joints(line: str) -> list[Joint]:
    """Each joint of a line, in its order, with a key of its own.

    Raises:
        AnswerError: A head that no tool fits, or an empty line.
    """
    joints: list[Joint] = []
    for piece in pieces(line):
        position = re.fullmatch(
            r"(?:(?:all|everything|both) (?:of (?:it|them) )?)?from (?:the )?(.+)", piece, re.IGNORECASE
        )
        if position and joints:
            for one in joints:
                one.position = one.position or position[1]
            continue
        joint, _ = read_joint(piece)
        joint.key = unused(joint.key, [one.key for one in joints])
        joints.append(joint)
    if not joints:
        raise AnswerError(
            "nothing that holds it was named", "write like: 5 bolts 10 mm, connector; or: nothing"
        )
    return joints


class _Rest:
    """What is left of a piece while one thing after another is taken out of it."""

    def __init__(self, text: str) -> None:
        self.text = text

    def take(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        found = pattern.search(self.text)
        if found:
            self.cut(found.start(), found.end())
        return found

    def cut(self, start: int, end: int) -> None:
        self.text = " ".join(f"{self.text[:start]} {self.text[end:]}".split())

    def group(self, pattern: re.Pattern[str], read: Callable[[re.Match[str]], str]) -> str | None:
        found = self.take(pattern)
        return read(found) if found else None


def read_joint(piece: str) -> tuple[Joint, str]:
    """The joint that a piece of a line tells, and what is said besides: ``long`` of ``2 long bolts 10 mm``.

    Raises:
        AnswerError: A head that no tool fits.
    """
    rest = _Rest(re.sub(r"(?<=\d),(?=\d)", ".", piece))
    position = rest.group(_FROM, lambda found: found[1])
    if position is None and rest.take(_BELOW):
        position = "under"
    torque = _torque(rest)
    thread = rest.group(_THREAD, lambda found: f"M{found[1]}" + (f"x{found[2]}" if found[2] else ""))
    grade = rest.group(_CLASS, lambda found: found[1])
    hand = rest.take(_HAND) is not None
    count = _count(rest)
    head = _head(rest, sized=True)
    kind, word = _kind(rest)
    head = head or _head(rest)
    if head is None and (kind is None or not kind.by_hand):
        head = rest.group(_BARE, lambda found: found[1])
    tool = tool_for(head) if head is not None else None
    if head is not None and tool is None:
        raise AnswerError(*no_tool(head))
    if tool == BY_HAND:
        head, hand = None, True
    if kind and kind.name == word == "plug" and head is None and not _special(rest.text):
        kind, word = kind_of_joint("connector"), "connector"
    extra = " ".join(one for one in rest.text.split() if one.casefold() not in _FILLERS)
    extra = extra.replace("(", "").replace(")", "").strip(" .-")
    words = " ".join((extra, _plural(word, count) if word else "")).strip()
    words = words or _plural("fixing", count)
    joint = Joint(key_of(words) or "joint", words, kind.name if kind else None, count, head, hand)
    joint.thread, joint.property_class, joint.torque, joint.position = thread, grade, torque, position
    return joint, extra


def _special(text: str) -> bool:
    return bool(re.search(r"\b(?:drain|spark|glow|sump|oil)\b", text, re.IGNORECASE))


def _torque(rest: _Rest) -> str | None:
    found = find_torque(rest.text)
    if found is None:
        return None
    torque, start, end = found
    rest.cut(start, end)
    return torque.shown_in()


def _head(rest: _Rest, *, sized: bool = False) -> str | None:
    found = head_in(rest.text, sized=sized)
    if found is None:
        return None
    rest.cut(found.start, found.end)
    return found.written


def _count(rest: _Rest) -> int:
    found = rest.take(_LEADING) or rest.take(_TRAILING)
    if found:
        return max(1, int(next(one for one in found.groups() if one)))
    first, _, others = rest.text.partition(" ")
    if others and first.casefold() in _COUNTS:
        rest.text = re.sub(r"^(?:of|pair of) ", "", others)
        return _COUNTS[first.casefold()] if rest.text == others or first.casefold() != "a" else 2
    return 1


def _kind(rest: _Rest) -> tuple[Kind | None, str]:
    """The kind that a piece names, and its word; the clamp, where a hose and its clamp are named."""
    text = rest.text.casefold()
    words = [*kind_words(), *_ALSO]
    found = [word for word in words if re.search(rf"\b{re.escape(word)}(?:e?s)?\b", text)]
    if not found:
        return None, ""
    clamps = [word for word in found if _kind_of(word).name == "clamp"]
    word = max(clamps or found, key=len)
    rest.take(re.compile(rf"\b{re.escape(word)}(?:e?s)?\b", re.IGNORECASE))
    kind = _kind_of(word)
    return kind, _singular(word)


def _kind_of(word: str) -> Kind:
    kind = kind_of_joint(_ALSO.get(word, word))
    assert kind is not None
    return kind


def _singular(word: str) -> str:
    return next((one for one in kind_words() if word in (f"{one}s", f"{one}es")), word)


def _plural(word: str, count: int) -> str:
    if count == 1 or word.endswith("s"):
        return word
    return f"{word}es" if word.endswith(("ch", "x", "sh")) else f"{word}s"


def shown(joint: Joint, position: str | None = None) -> str:
    """A joint as it was understood: ``5 bolts (10 mm socket), from under``."""
    many = f"{joint.count} {joint.words}" if joint.count > 1 else joint.words
    notes = [
        "" if joint.kind else "kind not known yet",
        tool.label if joint.head and (tool := tool_for(joint.head)) else "",
        joint.thread or "",
        joint.torque or "",
    ]
    said = ", ".join(note for note in notes if note)
    where = f" from {position or joint.position}" if position or joint.position else ""
    return many + (f" ({said})" if said else "") + where
