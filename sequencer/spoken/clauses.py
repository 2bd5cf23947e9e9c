"""A line cut into clauses: at commas and the like, and at ``and`` where something new begins."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from sequencer.machine.heard.fluids import amount_pattern, fluid_words
from sequencer.machine.heard.lexemes import Is, lexemes
from sequencer.machine.heard.tokens import Token, any_of
from sequencer.spoken import vocabulary
from sequencer.spoken.patterns import lines

_SIGNS = frozenset(',;:.!?\n-()"')
_NUMBERED = frozenset({"p", "pg", "no", "nr", "approx", "incl", "ca"})


def clauses(tokens: list[Token]) -> Iterator[list[Token]]:
    """The clauses, without the signs between them; a question mark stays."""
    clause: list[Token] = []
    for place, one in enumerate(tokens):
        if one.norm == "." and clause and clause[-1].norm in _NUMBERED:
            continue
        if one.norm == "," and _holds(tokens[place + 1 : place + 6]):
            continue
        if one.norm in _SIGNS:
            yield from _parted([*clause, one] if one.norm == "?" else clause)
            clause = []
        elif clause and any(begins(tokens, place) for begins in _BEGINNING):
            yield from _parted(clause)
            clause = [one]
        elif one.norm == "so" and clause and _so_it(tokens, place):
            yield from _parted(clause)
            clause = []
        elif (
            one.norm in ("then", "but", "once")
            and clause
            and place + 1 < len(tokens)
            and not _angle(tokens, place)
        ):
            yield from _parted(clause)
            clause = [one]
        else:
            clause.append(one)
    yield from _parted(clause)


_HOLDING = frozenset({"hold", "holds", "holding", "secure", "secures", "securing"})


def _holds(behind: list[Token]) -> bool:
    """``two bolts 13, hold the bracket``; not how they were held: hold the pins with a 17."""
    words = [one.norm for one in behind]
    return bool(words) and words[0] in _HOLDING and not (words[0] == "hold" and "with" in words)


def _takes_back(tokens: list[Token], place: int) -> bool:
    """``6 bolts 8 sorry 10``, dictated without a comma."""
    word, before = tokens[place].norm, tokens[place - 1].norm
    behind = tokens[place + 1].norm if place + 1 < len(tokens) else ""
    numbers = behind[:1].isdigit() and before[:1].isalnum()
    beyond = tokens[place + 2].norm if place + 2 < len(tokens) else ""
    if (word, behind) in (("make", "that"), ("scrap", "that"), ("or", "rather")) and beyond[:1].isdigit():
        return True
    if word == "no" and before.isalnum() and behind in vocabulary.nouns():
        return True  # 4 bolts 10 no gasket
    return (word == "sorry" and before not in ("no", "wait", "oh")) or (word in ("no", "wait") and numbers)


def _had_to(tokens: list[Token], place: int) -> bool:
    """``before i could get at the pump i had to take the tank off``."""
    behind = [one.norm for one in tokens[place + 1 : place + 3]]
    begins = tokens[place].norm in ("i", "we") and behind == ["had", "to"]
    return begins and tokens[place - 1].norm not in ("so", "and", "that", "but", "where")


def _left_it(tokens: list[Token], place: int) -> bool:
    """``four allen 6 left it hanging on the cables``: how it was left."""
    behind = tokens[place + 1].norm if place + 1 < len(tokens) else ""
    counted = any(one.norm[:1].isdigit() for one in tokens[max(place - 4, 0) : place])
    return tokens[place].norm == "left" and behind in ("it", "them") and counted


def _some_of_them(tokens: list[Token], place: int) -> bool:
    """``4 clips one was loose``: how one of several is."""
    some = tokens[place].norm in ("1", "one", "2", "some", "most", "half", "none")
    states = place + 1 < len(tokens) and tokens[place + 1].norm in ("is", "was", "are", "were", "has", "had")
    before = tokens[place - 1].norm
    told = before in vocabulary.describing() or before.endswith("hand")  # the right one was the same
    return (
        some and states and not told and tokens[place - 1].norm not in ("the", "this", "that", "which", "and")
    )


def _denied(tokens: list[Token], place: int) -> bool:
    """``a spring i didnt see the size``, ``a washer dont lose it``: what is not so is a remark."""
    word, before = tokens[place].norm, [one.norm for one in tokens[max(place - 6, 0) : place]]
    behind = tokens[place + 1].norm if place + 1 < len(tokens) else ""
    told = not _TELLING.isdisjoint(before) or any(one[:1].isdigit() for one in before)
    if word in ("dont", "do") and before[-1] not in _WHO:
        return word == "dont" or behind == "not"
    return told and word in ("i", "we") and behind in ("didnt", "dont", "couldnt", "cant", "havent", "forgot")


_WHO = frozenset(
    {"i", "we", "you", "they", "it", "that", "to", "so", "which", "and", "just", "please", "but"}
)


def _so_that(tokens: list[Token], place: int) -> bool:
    """``one nut 11 so i could slide the tank over``: what it was for."""
    behind = [one.norm for one in tokens[place + 1 : place + 3]]
    can = behind[1:] in (["could"], ["can"], ["cant"], ["couldnt"], ["wont"], ["wouldnt"], ["doesnt"])
    return tokens[place].norm == "so" and behind[:1] in (["i"], ["we"], ["it"], ["they"]) and can


_CORDS = frozenset("cord string wire strap rope bungee twine hook chain tape tie tied up".split())  # noqa: SIM905
_HUNG = frozenset({"hung", "tied", "strapped", "wired", "hanging", "suspended"})


def _counts_behind_a_cord(tokens: list[Token], place: int) -> bool:
    """``hung up with a bungee 2 bolts 14``."""
    before = [one.norm for one in tokens[max(place - 8, 0) : place]]
    return tokens[place].norm.isdigit() and before[-1] in _CORDS and not _HUNG.isdisjoint(before)


def _stays(tokens: list[Token], place: int) -> bool:
    """``four bolts 13 cables left on``: what stayed where it was."""
    behind = [one.norm for one in tokens[place + 1 : place + 3]]
    counted = any(one.norm[:1].isdigit() for one in tokens[max(place - 4, 0) : place])
    stays = behind[:1] in (["left"], ["still"], ["stay"], ["stays"])
    on = behind[1:] in (["on"], ["attached"], ["connected"], ["fitted"], ["plugged"])
    return counted and stays and on and tokens[place].norm in vocabulary.nouns()


def _acts_anew(tokens: list[Token], place: int) -> bool:
    """``belt off slackened the adjuster 13``: another act, on another thing."""
    behind = tokens[place + 1].norm if place + 1 < len(tokens) else ""
    told = tokens[place - 1].norm in _TELLING and place > 1 and tokens[place - 2].norm not in _TELLING
    acts = tokens[place].norm in vocabulary.done() or tokens[place].norm in ("undid", "took")
    return told and acts and behind in ("the", "its", "my", "both")


_BEGINNING = (
    _acts_anew,
    _stays,
    _counts_behind_a_cord,
    _takes_back,
    _some_of_them,
    _had_to,
    _left_it,
    _denied,
    _so_that,
)
"""Where a clause begins that nobody parted by a sign."""


def _so_it(tokens: list[Token], place: int) -> bool:
    """``in the way of the pan so that came off first``: what followed from it."""
    behind = [one.norm for one in tokens[place + 1 : place + 7]]
    if behind[:1] in (["ive"], ["weve"]):
        return True
    if behind[:1] == ["the"]:  # in the way of the horn so the grille came off
        return _FOLLOWED.match(" ".join(behind)) is not None
    return (
        len(behind) > 1 and behind[0] in ("that", "it", "they", "i", "we") and behind[1] in vocabulary.done()
    )


_FOLLOWED = re.compile(r"the (?:[\w-]+ ){1,4}(?:came|had|went|is|was|has|comes)\b")


def _angle(tokens: list[Token], place: int) -> bool:
    """``40 Nm then 90 degrees`` is one figure."""
    following = [one.norm for one in tokens[place + 1 : place + 4]]
    return any(re.match(r"\d+(?:deg)?", one) for one in following[:2]) and any(
        one.startswith(("deg", "turn", "nm", "newton")) for one in following
    )


_AGAIN = frozenset({"same", "ditto", "likewise"})
_TELLING = frozenset({"off", "out", "aside", "away", "loose", "undone", "unplugged", "removed"})
_ELSEWHERE = frozenset({"again", "other", "left", "right", "opposite", "far"})


def _begins_again(clause: list[Token], start: int, place: int) -> bool:
    """``shroud off same again on the other side``, dictated without a comma: what was done, and once more."""
    told = {one.norm for one in clause[start:place]} & _TELLING
    where = [one.norm for one in clause[place + 1 : place + 5]]
    return (
        clause[place].norm in _AGAIN
        and bool(told)
        and not {*where}.isdisjoint(_ELSEWHERE)
        and "as" not in where
    )


def _parted(clause: list[Token]) -> Iterator[list[Token]]:
    """A clause, in two where ``and`` begins something new, or the same again."""
    start = 0
    for place in range(1, len(clause) - 1):
        if _begins_again(clause, start, place):
            yield clause[start:place]
            start = place
        elif clause[place].norm in ("and", "plus", "&") and _new_behind(
            clause[start:place], clause[place + 1 :]
        ):
            if start < place:
                yield clause[start:place]
            start = place + 1
    if start < len(clause):
        yield clause[start:]


_LET_GO = re.compile(
    r"(?:the |a )?[a-z-]+(?: [a-z-]+){0,3} "
    r"(?:let out|let off|let down|released|vented"
    r"|unhooked|unplugged|disconnected|undone|unclipped|loosened|slackened|slack|loose|backed off(?: .*)?"
    r"|(?:is|are|was|were) (?:off|out|away|loose|undone)"
    r"|(?:comes?|came|lifts?|lifted|pulls?|pulled|slides?|slid|drops?|falls?|fell)"
    r" (?:off|out|away|clear|free|straight off))"
)


def _new_behind(before: list[Token], behind: list[Token]) -> bool:
    """``and`` begins something new: an act, or behind counted joints another thing that was let go."""
    text = " ".join(one.norm for one in behind)
    counted = any(one.norm[:1].isdigit() or one.norm in _TELLING for one in before)
    if _begins().match(text) is not None or (counted and _LET_GO.fullmatch(text) is not None):
        return True
    another = (_ANOTHER.fullmatch(text) or _TOO.fullmatch(text)) if counted else None
    return another is not None and vocabulary.is_thing(another["thing"]) and not _is_kind(another["thing"])


_ANOTHER = re.compile(r"the (?P<thing>[a-z-]+(?: [a-z-]+){0,2}) (?:off|out|away) (?:\d|with ).*")
"""``and the cowl off 4 screws``, dictated without a comma."""


_TOO = re.compile(r"(?:the )?(?P<thing>[a-z-]+(?: [a-z-]+){0,2}) (?:too|as well|also)")
"""``and the cutter disc too``: the same was done to it."""


def _is_kind(thing: str) -> bool:
    return lexemes(thing)[-1].sort is Is.KIND


@cache
def _begins() -> re.Pattern[str]:
    """What begins a clause of its own behind ``and``."""
    table = lines()
    verbs = [verb for act in table["acts"].values() for verb in act["verbs"]]
    before = "|".join(f"(?:{one})" for act in table["acts"].values() for one in act["before"])
    tasks = any_of(table["tasks"])
    fluid = rf"{amount_pattern()} (?:of )?(?:the )?(?:{any_of(fluid_words())})"
    same = r"(?:the )?same\b"
    care = "|".join((table["care"]["mark"], table["care"]["tie"]))
    plain = [re.sub(r"\?P<\w+>", "?:", one) for one in (before, fluid, care)]
    return re.compile(
        rf"(?:off|out|away|aside|removed|to 1 side|to one side)(?= \d|$)"
        rf"|(?:i )?(?:(?:{any_of(verbs)})\b|(?:{plain[0]})\b|(?:{tasks})\b|{plain[1]}|{same}|{plain[2]})"
    )
