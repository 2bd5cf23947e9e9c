"""The reading of one clause from left to right: which stretches belong to one joint."""

from __future__ import annotations

from dataclasses import replace

from sequencer.machine.heard import beside
from sequencer.machine.heard.joint_draft import JointDraft
from sequencer.machine.heard.lexemes import SIZE_WORDS, Is, Lexeme, lexemes, stops
from sequencer.machine.model import HAND
from sequencer.machine.trade.heads import is_bare, tool_for


def drafts_in(text: str, *, naming: bool) -> list[JointDraft]:
    """The joints of a clause, as drafts that say where they stand.

    Args:
        text: The clause, as it is read.
        naming: It may name a part: a kind alone behind other words (fuel pipe) belongs to a name.
    """
    return _Scan(lexemes(text), naming).drafts()


class _Scan:
    """The reading of one clause, from left to right."""

    def __init__(self, all_lexemes: list[Lexeme], naming: bool) -> None:
        self.lexemes = all_lexemes
        self.naming = naming
        self.draft = JointDraft()
        self.found: list[JointDraft] = []

    def drafts(self) -> list[JointDraft]:
        for place, one in enumerate(self.lexemes):
            if alone := _BY_THEMSELVES.get(one.sort):
                alone(self, one)
            else:
                _IN_PLACE.get(one.sort, _Scan.skip)(self, one, place)
        self.close()
        return self.found

    def close(self) -> None:
        """The joint that was read is whole, or nothing."""
        draft, self.draft = self.draft, JointDraft()
        other = draft.tool or draft.thread or draft.family
        sized = draft.sized and (
            draft.head is None or draft.head.tool is None or draft.has_size or self.alone()
        )
        if not draft.only_a_tool and (draft.whole or (draft.begun and (sized or other))):
            self.found.append(draft)

    def alone(self) -> bool:
        """The clause says nothing else."""
        return all(one.sort not in (Is.OTHER, Is.NUMBER) for one in self.lexemes)

    def sort(self, place: int) -> Is | None:
        return self.lexemes[place].sort if 0 <= place < len(self.lexemes) else None

    def before(self, place: int) -> Lexeme:
        """What stands before; a sign at the start."""
        return self.lexemes[place - 1] if place else Lexeme(Is.SIGN, "", 0, 0, "")

    def after(self, place: int, *, others: int = 0) -> Lexeme | None:
        """What follows, over words that say nothing, and over at most some other words."""
        for one in self.lexemes[place + 1 :]:
            if one.sort is Is.OTHER and others > 0:
                others -= 1
            elif one.sort not in (Is.ADJECTIVE, Is.FILLER):
                return one
        return None

    # ---- Each sort of lexeme ----

    def skip(self, one: Lexeme, place: int) -> None:
        """A word that is none of a joint's."""
        draft = self.draft
        if not draft.begun:
            return
        following = self.after(place - 1, others=2)
        pending = (
            draft.kind is None
            and not draft.sized
            and (draft.count is not None or draft.leading or draft.vague)
        )
        if (
            one.sort is Is.OTHER
            and pending
            and following
            and following.sort is Is.KIND
            and not stops(one.text)
        ):
            draft.label.append(one.text)
        elif one.sort is not Is.SIGN or one.text not in "()":
            self.close()

    def filler(self, one: Lexeme, place: int) -> None:
        following = self.after(place)
        tool = following is not None and following.sort is Is.TOOL
        if one.text == "with" and self.draft.kind is not None and not tool:
            self.close()

    def conjunction(self, _one: Lexeme) -> None:
        self.close()

    def adjective(self, one: Lexeme, place: int) -> None:
        following = self.after(place)
        counts = (
            following is not None
            and following.sort is Is.NUMBER
            and beside.counts_next(self.lexemes, place + 1)
        )
        if counts and not self.draft.begun and (not self.naming or self.before(place).text == "the"):
            self.draft.takes(one)
            self.draft.label.append(one.text)
            return
        pending = self.draft.kind is None
        if following and following.sort is Is.KIND and (pending or self.draft.sized):
            if not pending:
                self.close()
            if self.draft.begun or not self.naming:
                self.draft.takes(one)
                self.draft.label.append(one.text)

    def number(self, one: Lexeme, place: int) -> None:
        text = one.text
        following, directly = self.after(place), self.sort(place + 1)
        another = place + 1 < len(self.lexemes) and self.lexemes[place + 1].text == "with"
        following = None if another or beside.is_placed(self.lexemes, place) else following
        draft = self.draft
        decimal = "." in text
        if (
            self.sort(place - 1) is Is.TIMES
            and (draft.kind or draft.sized)
            and draft.count is None
            and draft.leading is None
            and not decimal
        ):
            draft.count = int(text)
        elif (
            directly is Is.TIMES
            and not draft.sized
            and draft.count is None
            and beside.is_size(self.lexemes, place)
        ):
            self.size(one)
        elif (directly is Is.TIMES or directly is Is.EACH) and not decimal:
            open_ = draft.kind is not None and draft.count is None and draft.leading is None
            if (
                draft.begun
                and (draft.count is not None or draft.sized)
                and not (open_ and directly is Is.EACH)
            ):
                self.close()
            self.draft.count = int(text)
        elif (
            self.lexemes[place - 1].text == "("
            and place
            and draft.begun
            and draft.count is None
            and draft.sized
        ):
            draft.count = int(text)
        elif (
            draft.begun
            and (draft.kind or draft.count is not None or draft.leading or draft.vague or draft.family)
            and not draft.sized
        ):
            self.number_within(one, place, following)
        elif draft.begun and not decimal and self.joins(place):
            draft.count = int(text)
        else:
            if draft.begun:
                self.close()
            self.first_number(one, place, following)
        if self.draft.begun or self.draft.count is not None or self.draft.leading or self.draft.head:
            self.draft.takes(one)

    def joins(self, place: int) -> bool:
        """A count may come last, ``screws T25 4``, or between head and kind: ``5 mm allen key, 6 bolts``."""
        draft, following = self.draft, self.after(place)
        if draft.numbered or draft.vague:
            return False
        if draft.kind is None:
            return following is not None and following.sort is Is.KIND
        return draft.kind.many and (following is None or following.sort in (Is.AND, Is.SIGN))

    def number_within(self, one: Lexeme, place: int, following: Lexeme | None) -> None:
        """A number after a count or a kind: the size, unless it counts what follows."""
        draft = self.draft
        if draft.leading is not None and draft.kind is None:
            draft.count, draft.leading = int(float(draft.leading)), None
            self.size(one)
            return
        new = following is not None and (
            (following.sort is Is.KIND and (following.value.many or float(one.text) < 5))
            or (following.sort in (Is.FAMILY, Is.HEAD, Is.THREAD) and beside.counts_next(self.lexemes, place))
        )
        if draft.kind is not None and new:
            self.close()
            self.first_number(one, place, following)
        elif not draft.numbered and not following and beside.counts_behind(draft.kind, one.text):
            draft.count = int(one.text)
        else:
            self.size(one)

    def first_number(self, one: Lexeme, place: int, following: Lexeme | None) -> None:
        """A number that nothing was said before."""
        draft, text = self.draft, one.text
        directly = self.lexemes[place + 1].text if place + 1 < len(self.lexemes) else ""
        if directly in ("has", "had", "have", "is", "are", "was", "the"):
            return
        nearly = self.after(place, others=2)
        sort = following.sort if following else None
        if "." in text:
            if sort in (Is.KIND, Is.TOOL, Is.FAMILY):
                self.size(one)
        elif sort is Is.KIND:
            assert following is not None
            if following.value.many or float(text) < 5:
                draft.leading = text
            else:
                self.size(one)
        elif sort is Is.TOOL:
            assert following is not None
            if not beside.several(following.value):
                self.size(one)
        elif sort in (Is.HEAD, Is.FAMILY, Is.THREAD, Is.NUMBER, Is.SIZES, Is.LENGTH, Is.HAND):
            draft.count = int(text)
        elif (
            nearly is not None
            and nearly.sort is Is.KIND
            and not any(stops(other.text) for other in self.lexemes[place + 1 : place + 3])
        ):
            if nearly.value.many or float(text) < 5:
                draft.leading = text
            else:
                self.size(one)  # 36 staked nut

    def size(self, one: Lexeme) -> None:
        self.draft.head = self.draft.head_of(one.text, f"{float(one.text):g}", one)

    def sizes(self, one: Lexeme) -> None:
        size = one.value[1] or str(SIZE_WORDS[one.value[2]])
        if self.draft.sized:
            self.close()
        draft = self.draft
        if draft.leading is not None:
            draft.count, draft.leading = int(draft.leading), None
        draft.head = self.draft.head_of(one.text, size, one)
        draft.many = True
        draft.takes(one)

    def vague(self, one: Lexeme, place: int) -> None:
        following = self.after(place, others=1)
        if following and following.sort in (Is.KIND, Is.HEAD, Is.FAMILY, Is.NUMBER, Is.SIZES):
            if self.draft.begun:
                self.close()
            self.draft.vague = True
            self.draft.takes(one)

    def each(self, one: Lexeme) -> None:
        if self.draft.begun:
            self.draft.takes(one)

    def head(self, one: Lexeme) -> None:
        draft = self.draft
        if draft.sized and draft.leading is None:
            self.close()
            draft = self.draft
        if draft.leading is not None:
            draft.count, draft.leading = int(draft.leading), None
        if one.value.tool is not None and one.value.tool.name == HAND:
            draft.hand = True
        else:
            bare = draft.family is not None and is_bare(one.value.written)
            draft.head = draft.head_of(one.value.said, one.value.written, one) if bare else one.value
        draft.takes(one)

    def family(self, one: Lexeme, place: int) -> None:
        draft = self.draft
        following = self.sort(place + 1)
        if (
            not draft.begun
            and following not in (Is.KIND, Is.NUMBER, Is.HEAD)
            and not (self.after(place) is None and place == 0)
        ):
            return
        if draft.family is not None:
            self.close()
            draft = self.draft
        draft.family = one.value
        if draft.leading is not None:
            draft.count, draft.leading = int(draft.leading), None
        if (
            draft.head is not None
            and is_bare(draft.head.written)
            and (written := one.value.sized(draft.head.written))
        ):
            draft.head = replace(draft.head, written=written, tool=tool_for(written), usual=True)
        draft.takes(one)

    def kind(self, one: Lexeme, place: int) -> None:
        draft, before = self.draft, self.lexemes[place - 1] if place else None
        if draft.kind is not None:
            if before is not None and before.sort is Is.KIND and not draft.kind.many and before.next_to(one):
                draft.label.append(draft.kind.word)
            else:
                self.close()
                draft = self.draft
        free = draft.count is None and draft.leading is None
        free = free and not (draft.vague or draft.sized or draft.family)
        if free and self.of_something_else(one, place, before):
            self.draft = JointDraft()
            return
        if free and not self.naming and not draft.begun:
            for word in beside.label_before(self.lexemes, place):
                draft.takes(word)
                draft.label.append(word.text)
        draft.kind = one.value
        draft.takes(one)

    def of_something_else(self, one: Lexeme, place: int, before: Lexeme | None) -> bool:
        """The kind's word is in the name of a thing, or speaks of a joint elsewhere."""
        kept, article = beside.lead(self.lexemes, place)
        unknown = before is not None and before.sort is Is.OTHER and not stops(before.text)
        if not self.naming and unknown and beside.is_a_thing(one.value):
            return True
        if unknown and beside.is_listed(self.lexemes, place):
            return True  # the speed sensor, 1 bolt 8: another part
        if beside.is_elsewhere(one.value, article, kept, naming=self.naming):
            return True
        named = self.naming and self.in_a_name(one, place, before)
        return named and (one.value.many or not self.size_behind(place))

    def in_a_name(self, one: Lexeme, place: int, before: Lexeme | None) -> bool:
        """Words beside it make a name of it."""
        following = self.lexemes[place + 1] if place + 1 < len(self.lexemes) else None
        adjective = before is not None and before.sort is Is.ADJECTIVE
        if adjective and beside.is_owned(self.lexemes, place) and not beside.is_a_thing(one.value):
            return False  # the big nut on the prop
        if before is not None and before.sort in _IN_NAMES and not stops(before.text):
            return True
        return (
            following is not None
            and (following.sort is Is.OTHER or (following.text == "head" and place == 0))
            and not stops(following.text)
            and not one.value.many
        )

    def size_behind(self, place: int) -> bool:
        """A head follows, or a number that is the size."""
        following, beyond = self.sort(place + 1), self.sort(place + 2)
        if following is not Is.NUMBER or float(self.lexemes[place + 1].text) <= 4:
            return following is Is.HEAD
        headed = beyond is Is.FAMILY and not beside.counts_next(self.lexemes, place + 1)  # crank bolt 8 allen
        own = beyond is Is.KIND and not self.lexemes[place + 2].value.many  # nut 27 split pin
        return own or headed or beyond not in _NUMBERED

    def thread(self, one: Lexeme) -> None:
        draft = self.draft
        if draft.thread is not None:
            self.close()
            draft = self.draft
        if draft.leading is not None:
            draft.count, draft.leading = int(draft.leading), None
        draft.threaded(one)

    def fact(self, one: Lexeme) -> None:
        """What is said of a joint besides its kind and size."""
        if self.draft.begun:
            self.draft.fact(one)


_IN_NAMES = (Is.OTHER, Is.ADJECTIVE, Is.KIND)
_NUMBERED = (Is.HEAD, Is.KIND, Is.NUMBER, Is.FAMILY, Is.TIMES, Is.THREAD)
"""Before one of these a number may count it, or be its size."""

_BY_THEMSELVES = {
    Is.SIZES: _Scan.sizes,
    Is.EACH: _Scan.each,
    Is.HEAD: _Scan.head,
    Is.THREAD: _Scan.thread,
    Is.LENGTH: _Scan.fact,
    Is.CLASS: _Scan.fact,
    Is.TORQUE: _Scan.fact,
    Is.TOOL: _Scan.fact,
    Is.HAND: _Scan.fact,
    Is.AND: _Scan.conjunction,
}
_IN_PLACE = {
    Is.FILLER: _Scan.filler,
    Is.TIMES: _Scan.filler,
    Is.NUMBER: _Scan.number,
    Is.VAGUE: _Scan.vague,
    Is.FAMILY: _Scan.family,
    Is.KIND: _Scan.kind,
    Is.ADJECTIVE: _Scan.adjective,
}
"""What each sort of stretch does to the joint that is read; some look at what stands around them."""
