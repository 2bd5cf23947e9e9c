"""The acts of a line, as its clauses tell them one after another."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from sequencer.machine.heard.fluids import fluid_words
from sequencer.machine.heard.joint import JointSaid
from sequencer.machine.heard.tokens import Token, said
from sequencer.spoken import details, retelling, sizes, vocabulary
from sequencer.spoken.act_draft import BEGUN_BY_THEN, ActDraft
from sequencer.spoken.clause import Piece, told_of
from sequencer.spoken.fluids import all_spills, spilt_before
from sequencer.spoken.names import known_name
from sequencer.spoken.patterns import lines
from sequencer.spoken.values import Act, Before, Care, Did, Heard, Name, Remark, Said, ToldQuestion
from sequencer.spoken.whole import act_of, completed, one_each, tells

_FURTHER = {Act.LOOSE: 1, Act.UNDONE: 2, Act.UNPLUGGED: 2, Act.ASIDE: 3, Act.OFF: 4}
"""How far a part has come; of two acts in one line the one that went further is what was done."""

_LYING = re.compile(r" (?:on|over|across|against|beside|to) (?!one side|the side)")
"""Where a thing moved aside lies: that is kept."""


class Telling:
    """The acts of a line, one clause after another."""

    def __init__(self, parts: Mapping[str, str], before: Before | None) -> None:
        self.parts = parts
        self.before = before
        self.said: list[Said] = []
        self.notes: list[str] = []
        self.draft = ActDraft()
        self.doubt: ToldQuestion | None = None
        self.noting = False
        self.unsure: list[str] = []
        self.retelling = ""

    @property
    def fluid(self) -> str:
        """The fluid that the act is about."""
        spills, name = self.draft.did.spills, self.draft.name
        drained = self.draft.act is not None and self.draft.act.value is Act.DRAINED
        if name is not None and drained and not spills and not _holds_fluid(name.label):
            return name.label
        if name is not None and name.label.casefold() in fluid_words():
            return name.label
        noted = " ".join([one.text for one in self.draft.did.remarks] + self.notes[-1:]).casefold().split()
        told = next((one for one in reversed(noted) if one in fluid_words()), "")
        if name is not None and drained:
            told = told or lines()["fluids"]["in"].get(name.label.casefold().split()[-1], "")
        if name is not None and not told:
            words = name.label.casefold().split()
            told = next((fluid for word, fluid in lines()["fluids"]["of"].items() if word in words), "")
        return spills[-1].fluid.label if spills else told or ("fluid" if drained and name is None else "")

    @property
    def nothing_named(self) -> bool:
        """No part is named yet."""
        return self.draft.name is None

    def goes_on(self, clause: Sequence[Token]) -> bool:
        """``the belt off, then the pulley``: the same was done to the next thing."""
        words = [one.norm for one in clause if one.norm not in ("and", "the")]
        words = words[: next((n for n, one in enumerate(words) if one[:1].isdigit()), len(words))]
        then = words[:1] in (["then"], ["next"])
        too = words[-1:] in (["too"], ["also"]) or words[-2:] == ["as", "well"]
        named = then and vocabulary.is_thing(" ".join(words[1:]))
        named = named or (too and vocabulary.is_thing(" ".join(words[: -1 - (words[-1] == "well")])))
        return named and self.draft.act is not None and self.draft.name is not None

    def mended(self, clause: Sequence[Token]) -> bool:
        """A clause that puts right the joint told just before it, or tells them apart; it is taken in."""
        told, opened = self.draft.joints, retelling.without_opener(clause)
        anew, before = retelling.named_anew(clause), self.draft.name
        if anew is not None and before is not None:
            self.draft.name = known_name(anew, self.parts)
            self.remark(f"{before.words or before.label}, {said(clause)}")
            return True
        if opened is None and not self.retelling:
            joints = retelling.parted(told, clause)
        elif opened == [] and told:
            self.retelling = said(clause)
            return True
        else:
            words = f"{self.retelling} {said(clause)}".strip()
            joints = retelling.put_right(told, list(clause) if opened is None else opened, words)
            if joints is None:
                self.unsure.append(words)
            self.retelling = ""
        self.draft.joints = joints or told
        return joints is not None

    def take(self, piece: Piece) -> None:
        """Take what a clause says into the act that is told, or begin another."""
        if piece.doubt and self.doubt is None:
            self.doubt = ToldQuestion("torque", f"{piece.doubt} N·m?", (f"{piece.doubt} N·m", "another unit"))
        if self.noting:
            self.notes.append(piece.text)
        elif self.task(piece):
            pass
        elif piece.noted_on:
            self.close()
            self.noting = True
        elif piece.note:
            self.remark(piece.note)
        else:
            self.add(piece)

    def task(self, piece: Piece) -> bool:
        """A clause that is a task, or goes on with the one before it."""
        last = self.said[-1] if self.said and not self.draft.pieces else None
        if isinstance(last, Did) and last.act.value is Act.TASK and _goes_on(piece):
            self.said[-1] = replace(last, text=f"{last.text}, {piece.text}")
        elif piece.task:
            self.close()
            self.said.append(Did(Heard(Act.TASK, piece.text), text=piece.task, before=self.before))
        else:
            return False
        return True

    def add(self, piece: Piece) -> None:
        """Add a clause to the act that is told."""
        if self.begins(piece):
            before = self.draft.act
            self.close()
            self.draft.act = before if piece.act is None and piece.figure is None else None
        self.unsure += [piece.unsure] if piece.unsure else []
        draft = self.draft
        draft.pieces.append(piece)
        self.act(piece)
        self.turned(piece)
        if draft.name is not None and piece.name is not None and not _is_it(piece.name, draft.name):
            piece.rest.append(piece.name.words)
        draft.name = draft.name or piece.name
        draft.held(piece)
        draft.tightened(piece)
        self.besides(piece)

    def begins(self, piece: Piece) -> bool:
        """A clause begins another act: it names another part, and says something of it."""
        named, draft = piece.name, self.draft
        if named is None or draft.name is None or _is_it(named, draft.name):
            return False
        text = piece.text.casefold()
        if piece.act is None and (BEGUN_BY_THEN.match(text) or text.endswith((" too", " also", " as well"))):
            return True
        acts = piece.act is not None and (piece.owner is None or piece.act.object_first)
        return acts or (piece.figure is not None and draft.did.figure is not None)

    def act(self, piece: Piece) -> None:
        """The act that a clause says; a later one only where it goes further."""
        draft, acted = self.draft, piece.act
        if acted is None:
            return
        draft.implied = draft.implied or acted.implied
        act = acted.act
        if act is Act.DRAINED and piece.spills and piece.name is None and draft.name is not None:
            return  # a cup was drained from it: what came out, not what was done
        before = draft.act.value if draft.act is not None else None
        if Act.DRAINED in (before, act) and {before, act} & {Act.OFF, Act.ASIDE} and piece.name is None:
            draft.drained = draft.act if before is Act.DRAINED else Heard(act, acted.words)
            draft.act = Heard(act, acted.words) if before is Act.DRAINED else draft.act
            return
        if act is Act.OFF and piece.owner is not None and piece.joints:
            plugs = all(one.kind == "connector" for one in piece.joints)
            act = Act.UNPLUGGED if plugs else Act.UNDONE
        if act is Act.ASIDE and _LYING.search(acted.words):
            piece.rest.append(acted.words)
        if before is not None and Act.UNPLUGGED in (before, act) and before is not act and piece.name is None:
            draft.unplugged = True
            act = act if act in (Act.OFF, Act.ASIDE) or before in (Act.OFF, Act.ASIDE) else Act.OFF
            further = act if _FURTHER.get(act, 0) > _FURTHER[before] else before
            draft.act = Heard(further, f"{draft.act.words}, {acted.words}" if draft.act else acted.words)
            return
        if before is None or _FURTHER.get(act, 0) > _FURTHER.get(before, 0):
            words = (
                draft.act.words if draft.act is not None and before is Act.UNDONE and draft.implied else ""
            )
            draft.act = Heard(act, f"{words}, {acted.words}" if words else acted.words)
        elif before is not act:
            tied = any(one.text == acted.words for one in piece.remarks)
            piece.rest += [] if tied else [acted.words]
            self.unsure += [] if tied else [acted.words]
        elif draft.act is not None:  # ``off, just lifts off``: said once more, and how
            draft.act = Heard(act, f"{draft.act.words}, {acted.words}")

    def turned(self, piece: Piece) -> None:
        """``slackened, 12 quarter turns``: how far it was turned, and not what holds it."""
        if self.draft.act is None or self.draft.act.value is not Act.LOOSE:
            return
        turns = [one for one in piece.joints if one.word == "quarter-turn"]
        piece.joints = [one for one in piece.joints if one not in turns]
        piece.rest += [one.said for one in turns]

    def besides(self, piece: Piece) -> None:
        """What a clause says besides act, part and joints."""
        draft, did = self.draft, self.draft.did
        remarks = list(did.remarks)
        for remark in piece.remarks:
            if remarks and remarks[-1].care is remark.care and remark.care is not Care.BAG:
                remarks[-1] = Remark(remark.care, f"{remarks[-1].text}, {remark.text}")
            else:
                remarks.append(remark)
        if piece.spot is not None and (draft.joints or draft.name):
            remarks.append(Remark(Care.NOTE, piece.spot.value))
        remarks += [Remark(Care.NOTE, one) for one in piece.rest]
        figure = did.figure or piece.figure
        if figure is not None and piece.source:
            figure = details.with_source(figure, piece.source)
        elif figure is None and piece.source:
            remarks.append(Remark(Care.NOTE, piece.source))
        draft.did = replace(
            did,
            position=did.position or piece.position,
            way_of=(*did.way_of, *piece.way_of),
            spills=all_spills(did.spills, piece.spills),
            remarks=tuple(remarks),
            weight_kg=did.weight_kg or piece.weight,
            figure=figure,
        )

    def remark(self, text: str) -> None:
        """A remark: on the act that is told, or by itself."""
        if self.draft.name is not None or self.draft.joints:
            self.draft.did = replace(
                self.draft.did, remarks=(*self.draft.did.remarks, Remark(Care.NOTE, text))
            )
        else:
            self.notes.append(text)

    # ---- The act is whole ----

    def close(self) -> None:
        """The act that was told is whole."""
        draft, self.draft = self.draft, ActDraft()
        if not draft.pieces:
            return
        if draft.many is not None:
            draft.did = replace(
                draft.did, remarks=(*draft.did.remarks, Remark(Care.NOTE, f"{draft.many} of them"))
            )
        draft.joints = retelling.told_apart(draft.joints)
        if sizes.of_both(draft.pieces[0].text):
            draft.joints = [sizes.each_of_both(one) for one in draft.joints]
        draft.joints = [sizes.of_several(one, draft.name) for one in draft.joints]
        if draft.name is None and draft.act is not None:
            draft.name = told_of(draft.pieces, self.parts)
        did = replace(draft.did, part=draft.name, joints=tuple(draft.joints), before=self.before)
        did = replace(did, act=act_of(did, draft.act, one_clause=_one_clause(draft)))
        nothing = bool(self.said) and _of_no_thing(did)
        if nothing or not tells(did, begun_by_then=_begun_by_then(draft), acted=draft.act is not None):
            text = ", ".join(piece.text for piece in draft.pieces if piece.text)
            beside = [one.text for one in did.remarks if one.care is Care.NOTE and one.text not in text]
            self.notes += [one for one in (text, *beside) if one]
            return
        if draft.unplugged and not any(one.kind == "connector" for one in did.joints):
            plug = JointSaid(kind="connector", word="connector", count=1)
            did = replace(did, joints=(*did.joints, plug))
        last = self.said[-1] if self.said else None
        if (spilt := spilt_before(last, did)) is not None:
            self.said[-1] = spilt
            return
        if draft.drained is not None and did.part is not None:
            self.said.append(completed(Did(draft.drained, did.part, spills=did.spills), None, acted=True))
            did = replace(did, spills=())
        did = completed(did, draft.implied, acted=draft.act is not None)
        self.said += one_each(did, self.parts)


def _is_it(name: Name, told: Name) -> bool:
    """The part that was told, by all of its name or by what it is: the splash shield, then the shield."""
    words, whole = name.label.casefold().split(), told.label.casefold().split()
    placed = not vocabulary.words("cutting").isdisjoint(whole[: -len(words)])  # the plug from the fan
    return words == whole or (name.key is None and not placed and words == whole[-len(words) :])


def _of_no_thing(did: Did) -> bool:
    """Behind an act, words like one on what is no thing tell how it was done: loosen bit by bit."""
    name = did.part
    if name is None or name.key is not None or did.joints or did.spills or did.figure:
        return False
    words = name.label.casefold().split()
    little = [one for one in words if one in vocabulary.little() or one in vocabulary.happening()]
    return len(little) == len(words) or (words[-1] in little and words[0] in little)


def _holds_fluid(label: str) -> bool:
    """``gearbox drained``: what was drained is no fluid itself; condensate is."""
    last = label.casefold().split()[-1]
    return last in vocabulary.nouns() and last not in fluid_words()


def _one_clause(draft: ActDraft) -> bool:
    """Part and joint were named in one clause, and nothing else was said: spindle nut 32."""
    first, *others = draft.pieces
    return bool(first.joints) and first.name is not None and not any(one.act for one in others)


def _begun_by_then(draft: ActDraft) -> bool:
    return BEGUN_BY_THEN.match(draft.pieces[0].text.casefold()) is not None


_PLUG = re.compile(r"(?:(?:i|we|then|and) )*pulled the (?:mains )?plug")
"""Behind the switching off: that of the mains."""


def _goes_on(piece: Piece) -> bool:
    """The clause goes on with the task before it."""
    return bool(piece.task or _PLUG.fullmatch(piece.text.casefold())) or (
        piece.act is None and not piece.joints and not piece.figure and not piece.spills and not piece.note
    )
