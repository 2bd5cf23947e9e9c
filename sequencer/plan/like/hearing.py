"""Taking an answer about a machine that is like a type: what it means, and how it was understood."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from sequencer.errors import SequencerError
from sequencer.graph import parse_targets
from sequencer.machine.checks.typical_checks import job_called
from sequencer.machine.heard.places import place_meant
from sequencer.machine.survey import AnswerError
from sequencer.machine.survey.joint_line import parse_joints, shown
from sequencer.machine.survey.odd_answers import refuse_no_place
from sequencer.machine.survey.question import QuestionId
from sequencer.machine.survey.said import SaidJoint
from sequencer.machine.survey.short_lines import (
    bare,
    is_later,
    is_nothing,
    key_of,
    known,
    label_of,
    pieces,
    unused,
)
from sequencer.machine.trade.kinds import kind_of_joint
from sequencer.plan.like import differences
from sequencer.plan.like.fastened import GONE, other_fasteners
from sequencer.plan.like.known import ASKED, Alike
from sequencer.plan.like.naming import by_their_keys, is_same, led_by, named, one_of, refuse_yes
from sequencer.plan.like.questions import AS_TYPE, NOT_THERE, things_of, worth_of
from sequencer.wording import joined, small

_LONGEST = 500
_OVER = re.compile(r"\s+(?:is )?(?:over|in the way of|in front of|before|blocks|hides)\s+", re.IGNORECASE)
_BEHIND = re.compile(r"^(?P<of>.+?)\s+(?:is )?behind\s+(?P<what>.+)$", re.IGNORECASE)
_FROM = re.compile(
    r"^(?P<part>.+?)[\s,:]+from\s+(?:the )?(?P<place>.+)$|^(?P<other>.+?):\s*(?P<there>.+)$", re.IGNORECASE
)


def hear(now: Alike, question: str, text: str) -> str:
    """Put an answer into what is known, and return how it was understood.

    Raises:
        AnswerError: It was not understood, or makes a machine that can't be.
    """
    answer = " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
    if not answer:
        raise AnswerError("there is no answer on this line", f"type one, or: {AS_TYPE}; don't know")
    if len(answer) > _LONGEST:
        raise AnswerError("this is too long for one answer", "make it shorter")
    kind = QuestionId(question).first
    now.answers += 1
    if is_later(answer):
        return _put_off(now, question, kind)
    now.later.pop(question, None)
    if kind == "off":
        return _off(now, answer)
    answer = by_their_keys(now, answer)
    if kind in ASKED:
        things = [one for one in things_of(now, question) if one not in now.settled[kind]]
        return _ASKED[kind](now, things, answer)
    of = now.follows.pop(question)
    return _FOLLOWED[kind](now, QuestionId(question).rest, of, answer)


def _put_off(now: Alike, question: str, kind: str) -> str:
    """Nobody knows: of several it is asked in halves, the more telling one first."""
    if question in now.follows:
        now.follows.pop(question)
        if kind == "held":
            return _held(now, QuestionId(question).rest, (), "1 bolt")
        return "left as in the type"
    things = things_of(now, question) if kind in ASKED else []
    if len(things) < 2:
        now.later.pop(question, None)
        now.later[question] = None
        return "left as in the type, and marked" if things else "left open for later"
    best = sorted(things, key=lambda one: -worth_of(now, kind, one))
    half = set(best[: (len(best) + 1) // 2])
    now.split = [one for one in now.split if set(one[1]) != set(things)]
    now.split.append((kind, tuple(one for one in things if one in half)))
    now.split.append((kind, tuple(one for one in things if one not in half)))
    return "then in smaller pieces; what stays unknown is as in the type, and marked"


def _off(now: Alike, answer: str) -> str:
    jobs = {job.label.casefold(): name for name, job in now.machine.jobs.items()}
    name = jobs.get(answer.casefold(), answer if answer in now.machine.jobs else None)
    wanted = list(job_called(now.machine, name).off) if name else pieces(answer)
    try:
        targets = parse_targets(now.machine, wanted)
    except SequencerError as why:
        raise AnswerError(why.problem, why.remedy) from why
    now.off = tuple(target.text for target in targets)
    now.rewritten(now.text)
    return f"wanted off: {joined(small(now.label(target.part)) for target in targets)}"


# ---- Of several things at once ----


def _there(now: Alike, things: Sequence[str], answer: str) -> str:
    if is_same(answer) or answer.casefold() in ("yes", "y"):
        now.settle("there", things)
        return (
            "all there, as in the type" if len(things) > 1 else f"the {small(now.label(things[0]))} is there"
        )
    if len(things) > 1 and answer.casefold() in GONE:
        raise AnswerError(f"`{answer}` does not say which are missing", f"name them, or answer: {AS_TYPE}")
    gone = [things[0]] if len(things) == 1 and answer.casefold() in GONE else named(now, things, answer)
    labels = [small(now.label(one)) for one in gone]
    wanted = [one for one in gone if one in now.worth.wanted]
    if wanted:
        raise AnswerError(f"the {small(now.label(wanted[0]))} is what you want off", "name another part")
    for one in gone:
        now.rewritten(differences.without(now.text, one))
    now.settle("there", [one for one in things if one not in gone])
    return f"not there: {joined(labels)}"


def _way(now: Alike, things: Sequence[str], answer: str) -> str:
    if is_same(answer) or is_nothing(answer):
        now.settle("way", things)
        return "nothing else in the way"
    refuse_yes(answer, "what is")
    echoes = []
    for piece in _whole_pieces(answer):
        what, of = _parted(now, things, piece)
        covered = [one_of(now, things, one) for one in of] or (list(things) if len(things) == 1 else [])
        labels = {one: now.label(one) for one in things}
        if not of and len(things) > 1 and (named := known(what, labels)):
            now.follows[f"what/{named}"] = ()
            echoes.append(f"something is in the way of the {small(now.label(named))}: asked next")
        else:
            echoes.append(_in_the_way(now, what, covered, things))
    now.settle("way", things)
    return "; ".join(echoes)


def _whole_pieces(answer: str) -> list[str]:
    """The pieces of a line, in which what follows an ``over`` belongs to it up to the next one."""
    found: list[str] = []
    for piece in pieces(answer):
        if found and _OVER.search(found[-1]) and not (_OVER.search(piece) or _BEHIND.match(piece)):
            found[-1] += f", {piece}"
        else:
            found.append(piece)
    return found


def _parted(now: Alike, things: Sequence[str], piece: str) -> tuple[str, list[str]]:
    """What is in the way, and of what; the name of a thing may have an ``over`` of its own."""
    if found := _BEHIND.match(piece):
        return found["what"], pieces(found["of"])
    ways = [(piece[: one.start()], pieces(piece[one.end() :])) for one in _OVER.finditer(piece)]
    labels = {one: now.label(one) for one in things}
    sure = [(what, of) for what, of in ways if all(known(one, labels) for one in of)]
    return [*sure, *ways[:1], (piece, [])][0]


def _in_the_way(now: Alike, what: str, covered: Sequence[str], among: Sequence[str] = ()) -> str:
    """Something is in the way of parts; of which of ``among`` is asked where that was not said."""
    labels = {name: now.label(name) for name in now.machine.parts}
    key = known(what, labels)
    if key is None:
        label = label_of(what)
        key = unused(key_of(what), [*now.machine.parts, *now.machine.tasks, *now.machine.fluids])
        if not key_of(what) or bare(what).isdecimal():
            raise AnswerError(
                f"`{what}` is not the name of a thing", "write like: heat shield over water pump"
            )
        place = now.machine.parts[covered[0] if covered else among[0]].position
        first = next(iter(now.machine.positions))
        fields: dict[str, object] = {"label": label, **({} if place == first else {"from": place})}
        fields["joints"] = {"bolts": {"kind": "bolt", "unsure": ["kind", "head", "count"]}}
        now.rewritten(differences.with_part(now.text, key, fields, covered[0] if covered else among[0]))
        now.own |= {key: None, f"{key}/bolts": None}
        now.follows[f"held/{key}"] = ()
    for one in covered:
        if one == key:
            raise AnswerError(f"the {small(now.label(one))} can't be in its own way", "name another part")
        try:
            now.rewritten(differences.with_need(now.text, one, key))
        except SequencerError as why:
            raise AnswerError(why.problem, why.remedy) from why
    if not covered:
        now.follows = {f"over/{key}": tuple(among), **now.follows}
        return f"{small(now.label(key))}: of what is asked next"
    return f"{small(now.label(key))} in the way of {joined(small(now.label(one)) for one in covered)}"


def _fasteners(now: Alike, things: Sequence[str], answer: str) -> str:
    if is_same(answer) or is_nothing(answer):
        if len(things) == 1 and answer.casefold() in GONE:
            return other_fasteners(now, things[0], NOT_THERE)
        now.settle("fasteners", things)
        return "as in the type"
    refuse_yes(answer, "which")
    if len(things) == 1:
        return other_fasteners(now, things[0], answer)
    told: dict[str, str] = {}
    for piece in pieces(answer):
        path, rest = led_by(now, things, piece)
        told[path] = rest
    echoes = []
    now.settle("fasteners", [one for one in things if one not in told])
    for path, rest in told.items():
        if rest:
            echoes.append(other_fasteners(now, path, rest))
        else:
            now.follows[f"number/{path}"] = ()
    asked_next = [small(now.label(path)) for path, rest in told.items() if not rest]
    echoes += [f"asked next: {joined(asked_next)}"] if asked_next else []
    return "; ".join(echoes)


def _elsewhere(now: Alike, things: Sequence[str], answer: str) -> str:
    if is_same(answer) or is_nothing(answer):
        now.settle("elsewhere", things)
        return "as in the type"
    refuse_yes(answer, "which")
    if len(things) == 1:
        return _other_place(now, things[0], answer)
    echoes = []
    asked_next = []
    named = []
    for piece in pieces(answer):
        found = _FROM.match(piece)
        part = one_of(now, things, (found["part"] or found["other"]) if found else piece)
        named.append(part)
        if found:
            echoes.append(_other_place(now, part, found["place"] or found["there"]))
        else:
            now.follows[f"place/{part}"] = ()
            asked_next.append(small(now.label(part)))
    now.settle("elsewhere", things)
    return "; ".join([*echoes, *([f"asked next: {joined(asked_next)}"] if asked_next else [])])


def _other_place(now: Alike, part: str, answer: str) -> str:
    labels = {key: one.label for key, one in now.machine.positions.items()}
    words = re.sub(r"^from\s+", "", answer, flags=re.IGNORECASE)
    key, label = words if words in labels else place_meant(words, labels), None
    if key is None:
        refuse_no_place(words)
        key, label = unused(key_of(words), labels), label_of(words)
        if not key_of(words):
            raise AnswerError("no place was named", "write like: at the front, under it")
    now.rewritten(differences.from_elsewhere(now.text, part, key, label))
    now.settle("elsewhere", [part])
    return f"the {small(now.label(part))}: from {small(now.machine.positions[key].label)}"


# ---- What an answer brought up ----


def _over(now: Alike, key: str, among: Sequence[str], answer: str) -> str:
    covered = [one_of(now, among, piece) for piece in pieces(answer)]
    return _in_the_way(now, now.label(key), covered)


def _what(now: Alike, part: str, of: Sequence[str], answer: str) -> str:
    del of
    if is_same(answer) or is_nothing(answer):
        return "nothing else in the way"
    return "; ".join(_in_the_way(now, piece, [part]) for piece in pieces(answer))


def _held(now: Alike, key: str, of: Sequence[str], answer: str) -> str:
    del of
    joints: dict[str, object] = {}
    place = None
    if not is_nothing(answer):
        for one in parse_joints("1 bolt" if is_same(answer) else answer):
            if one.kind is None:
                raise AnswerError(
                    f"`{one.words}` is not a kind of fixing that is known", "write like: 2 bolts 10 mm, clip"
                )
            place = place or one.position
            count = 2 if one.count is None else one.count
            fields = {
                "kind": one.kind,
                "head": one.head or ("hand" if one.hand else None),
                "count": count if count > 1 else None,
                "unsure": [*(["head"] if _wants_head(one) else []), *(["count"] if one.count is None else [])]
                or None,
            }
            joints[one.key] = {key: value for key, value in fields.items() if value is not None}
    now.rewritten(differences.with_value(now.text, ("parts", key, "joints"), joints))
    now.own |= {f"{key}/{one}": None for one in joints}
    label = small(now.label(key))
    echo = _other_place(now, key, place) if place else ""
    held = joined(shown(one) for one in parse_joints(answer)) if joints and not is_same(answer) else "nothing"
    return f"the {label} is held by {held}{f'; {echo}' if echo else ''}"


def _wants_head(one: SaidJoint) -> bool:
    kind = kind_of_joint(one.kind)
    return kind is not None and kind.headed and not kind.by_hand and one.head is None and not one.hand


def _number(now: Alike, path: str, of: Sequence[str], answer: str) -> str:
    del of
    return _fasteners(now, [path], answer)


def _place(now: Alike, part: str, of: Sequence[str], answer: str) -> str:
    del of
    if is_same(answer):
        return "as in the type"
    return _other_place(now, part, answer)


_ASKED: dict[str, Callable[[Alike, Sequence[str], str], str]] = {
    "there": _there,
    "way": _way,
    "fasteners": _fasteners,
    "elsewhere": _elsewhere,
}
_FOLLOWED: dict[str, Callable[[Alike, str, Sequence[str], str], str]] = {
    "over": _over,
    "what": _what,
    "held": _held,
    "number": _number,
    "place": _place,
}
