"""An act once all its clauses are read: what it was, and what follows from its name."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from sequencer.machine.heard.fluids import fluid_words
from sequencer.machine.heard.joint import JointSaid, OpenPoint, sized
from sequencer.machine.heard.lexemes import Is, KindSaid, lexemes
from sequencer.machine.heard.spelling import mended
from sequencer.machine.heard.tokens import said, tokens_of
from sequencer.machine.model import HAND
from sequencer.machine.trade.kinds import kind_of_joint
from sequencer.quantities import TorqueQuantity
from sequencer.spoken.names import known_name, only_adjectives
from sequencer.spoken.patterns import lines
from sequencer.spoken.values import Act, Care, Did, Heard, Name

_FASTENERS = ("bolt", "nut", "screw", "stud", "connector", "circlip", "union", "banjo", "clip")
"""Kinds that hold something: the hub nut is the nut of the hub, the cable clamp a part."""

_UNDOING = (Act.OFF, Act.UNDONE, Act.LOOSE, Act.UNPLUGGED)


def act_of(did: Did, acted: Heard[Act] | None, *, one_clause: bool) -> Heard[Act]:
    """What was done; by default it came off, and of one joint alone that it was undone."""
    if acted is not None:
        return acted
    told = did.spills or did.remarks or did.weight_kg
    if told and not did.joints and not did.way_of and did.figure is None:
        late = did.part is not None and did.before is not None
        return Heard(Act.OFF if late else Act.NOTE)
    if one_clause and len(did.joints) == 1 and (not did.joints[0].counted or _kind_first(did.joints[0])):
        return Heard(Act.UNDONE)
    counted = any(one.counted for one in did.joints)
    if did.figure is not None and not counted and not did.spills:
        return Heard(Act.TORQUE, did.figure.words)
    return Heard(Act.OFF)


def _kind_first(joint: JointSaid) -> bool:
    """``head bolts, ten of them``: the joints were named, and not the part that they hold."""
    plain = joint.label == "" and joint.word != ""
    return plain and joint.said.casefold().startswith(joint.word)


def tells(did: Did, *, acted: bool, begun_by_then: bool) -> bool:
    """It says enough to be an act: what was done, or what holds a part, or a part that is known."""
    if did.joints or did.spills or did.figure is not None or did.weight_kg is not None or did.way_of:
        return True
    if acted and (did.part is not None or did.act.value is Act.LEFT_OVER):
        return True
    if any(one.care is not Care.NOTE for one in did.remarks):
        return True
    known = did.part is not None and (did.part.key is not None or did.part.near != ())
    return did.part is not None and (known or did.before is not None or begun_by_then)


def completed(did: Did, implied: str | None, *, acted: bool) -> Did:
    """With what follows from the act and the name: the plug of what was unplugged, the kind in the name."""
    if did.part is not None and did.act.value is not Act.TORQUE:
        did = _plugs_of(_kind_in_name(did))
    did = replace(did, joints=tuple(map(_screwed, did.joints)))
    if did.act.value is Act.OFF and did.act.said and _is_fluid(did.part) and not _is_switched(did):
        did = replace(did, act=Heard(Act.DRAINED, did.act.words))
    if did.act.value is Act.DRAINED and did.act.words.startswith("let") and _is_solid(did):
        did = replace(did, act=Heard(Act.LOOSE, did.act.words))
    if did.act.value is Act.ASIDE and "open" in did.act.words and _is_turned(did.part):
        did = replace(did, act=Heard(Act.LOOSE, did.act.words))
    if did.act.value is Act.ASIDE and did.act.words == "open" and _is_parted(did.part):
        did = replace(did, act=Heard(Act.UNDONE, did.act.words))
    if did.act.value is Act.DRAINED:
        did = _drained(did)
    if not did.joints and did.act.value is Act.UNPLUGGED and not _piped(did):
        did = replace(did, joints=(JointSaid(kind="connector", word="connector", count=1),))
    if implied and not any(one.kind for one in did.joints):
        did = _held_by(did, implied)
    if _is_switched(did):
        assert did.part is not None
        text = f"{did.part.label} {did.act.words}"
        return replace(did, act=Heard(Act.TASK, did.act.words), part=None, text=text)
    things = [one.words for one in did.joints if one.word in lines()["things"]]
    named = did.part is not None or did.act.value in (Act.TORQUE, Act.LEFT_OVER)
    if not named and acted and len(did.joints) == 1 and things:
        did = replace(did, part=known_name(things[0], {}))
    if did.act.value is Act.UNPLUGGED:
        did = replace(did, joints=tuple(map(_of_a_sensor, did.joints)))
    return _tightened(did)


def _is_fluid(part: Name | None) -> bool:
    """``gear oil out``: it was drained."""
    return part is not None and part.key is None and part.label.casefold().split()[-1] in fluid_words()


def _is_solid(did: Did) -> bool:
    """``let the belt off``: nothing ran out of it."""
    words = did.part.label.casefold().split() if did.part is not None else []
    return bool(words) and not did.spills and not {*words} & {*fluid_words(), "air", "pressure", "tension"}


def _is_turned(part: Name | None) -> bool:
    """What is opened by turning it: a bleed screw, a tap."""
    last = part.label.casefold().split()[-1] if part is not None else ""
    return last in ("screw", "bolt", "nut", "tap", "valve", "cock", "plug", "union", "bleeder", "petcock")


def _is_parted(part: Name | None) -> bool:
    """What is open once its halves are apart: a hose, a coupling."""
    last = part.label.casefold().split()[-1] if part is not None else ""
    return last in lines()["parted"]


def _is_switched(did: Did) -> bool:
    """``power off``: switched, and not taken off."""
    named = did.part is not None and did.part.label.casefold() in lines()["switched"]
    off = re.fullmatch(r"(?:is |are |all |now )*off", did.act.words.casefold()) is not None
    return named and did.act.value is Act.OFF and off and not did.joints


def _drained(did: Did) -> Did:
    """A size alone is that of the plug; the fluid is the one that was drained."""
    plugs = [
        one if one.kind and one.word != "plug" else replace(_of_that_size(one), kind="plug", word="plug")
        for one in did.joints
    ]
    spills, part = did.spills, did.part
    label = part.label.casefold() if part is not None else ""
    if part is not None and plugs and label.removesuffix(" drain") in fluid_words() and " " in label:
        part = known_name(part.label[: len(label.removesuffix(" drain"))], {})  # the oil drain bolt 17
    if part is not None and spills and part.label.casefold().endswith(spills[0].fluid.label.casefold()):
        spills = (replace(spills[0], fluid=part), *spills[1:])
    return replace(
        did, joints=tuple(plugs), spills=spills, part=part or (spills[0].fluid if spills else None)
    )


def _of_that_size(plug: JointSaid) -> JointSaid:
    """``17 allen``: a fluid has no seventeen plugs, and so that is the size."""
    if not plug.family or plug.head or plug.count is None or plug.count < 2:
        return plug
    return sized(replace(plug, count=1, doubts=()), str(plug.count)) or plug


def _held_by(did: Did, implied: str) -> Did:
    """The kind that the verb tells: what was unclipped has clips, nobody said how many."""
    kind = kind_of_joint(implied)
    assert kind is not None
    first = did.joints[0] if did.joints else JointSaid()
    return replace(did, joints=(replace(first, kind=kind.name, word=implied), *did.joints[1:]))


def _tightened(did: Did) -> Did:
    """A torque that is told beside joints belongs to the last of them."""
    if did.figure is None or not did.joints:
        return did
    if did.act.value is Act.TORQUE and not any(one.counted for one in did.joints):
        return did
    if any(one.torque for one in did.joints):
        return did
    first = did.figure.stages[0]
    if not isinstance(first, TorqueQuantity) or len(did.figure.stages) > 1:
        return did
    return replace(did, joints=(*did.joints[:-1], replace(did.joints[-1], torque=first)))


def _piped(did: Did) -> bool:
    """What was unplugged is no wire, as far as its name tells."""
    return bool({*(did.part.label if did.part else "").casefold().split()} & {*lines()["piped"]})


def _kind_in_name(did: Did) -> Did:
    """``hub nut off, 36``: the name ends with a kind, which is what held it."""
    assert did.part is not None
    tokens = mended(tokens_of(did.part.words or did.part.label))
    name = " ".join(one.norm for one in tokens)
    found = lexemes(name)
    if not found or found[-1].sort is not Is.KIND or " of " in name:
        return did  # the bracket of the lead screw is no screw
    last = found[-1]
    kind: KindSaid = last.value
    before = said(tokens[: -len(last.text.split())])
    owner = kind.word.split()[0]
    if before and owner != kind.word and owner in lines()["things"]:
        before = f"{before} {owner}"  # the nut of the fuel pipe
    off = did.act.said and did.act.value is Act.OFF
    if kind.word == "sensor" and did.joints and not _spannered(did.joints[0].head):
        return did  # held by something with a drive of its own
    others = any(one.counted and one.kind not in (None, kind.name) for one in did.joints)
    plug = kind.name == "connector" or (kind.word == "plug" and not before.casefold().endswith(_SCREWED_IN))
    parted = off or did.act.value is Act.UNPLUGGED
    if parted and plug and before and not only_adjectives(tokens_of(before)) and not did.joints:
        return _unplugged(did, before, last.text)
    whole = kind.name == "clip" and off  # the retainer is what came off
    whole = whole or (off and others and kind.name == "nut" and "pin" not in [one.kind for one in did.joints])
    fastener = kind.name in _FASTENERS and not whole and last.text not in lines()["names"]["things_too"]
    if before.casefold() in lines()["doing"]:
        before = ""
    if before and only_adjectives(tokens_of(before)):
        return did  # the external circlip is what came off
    if fastener and before and did.part.key is None and did.act.value in _UNDOING:
        loose = did.act.value in (Act.LOOSE, Act.UNPLUGGED)
        act = did.act if loose else Heard(Act.UNDONE, did.act.words)
        did = replace(did, part=known_name(before, {}), act=act)
    sized = bool(did.joints) and did.joints[0].kind is None and not did.joints[0].counted
    sized = sized and kind.name not in ("hook", "hose", "spring", "fit", "cable", "strap", "seal")
    return _with_kind(did, kind) if (fastener and before) or sized else did


_SCREWED_IN = ("spark", "glow", "drain", "sump", "oil", "filler", "core", "level", "fill", "heater", "rubber")
"""Before a plug: it is no connector."""


def _unplugged(did: Did, before: str, plug: str) -> Did:
    """``encoder plug off``: what its plug was taken off."""
    joints = (JointSaid(said=plug, kind="connector", word="connector", count=1),)
    return replace(did, part=known_name(before, {}), act=Heard(Act.UNPLUGGED, did.act.words), joints=joints)


_SMALLEST_SENSOR = 14


def _spannered(head: str | None) -> bool:
    """A head that a sensor has itself: a large one for a spanner."""
    return head is None or (head.isdecimal() and int(head) >= _SMALLEST_SENSOR)


def named_many(name: Name | None) -> bool:
    """The name ends with a kind in the plural: bearing housing bolts."""
    found = lexemes(" ".join(one.norm for one in tokens_of(name.words or name.label))) if name else []
    return bool(found) and found[-1].sort is Is.KIND and found[-1].value.many


def _plugs_of(did: Did) -> Did:
    """Plugs of the spark plugs are no connectors."""
    found = lexemes(did.part.label.casefold()) if did.part is not None else []
    if not found or found[-1].sort is not Is.KIND or found[-1].value.name != "plug":
        return did
    kind: KindSaid = found[-1].value
    joints = (
        replace(one, kind=kind.name, word=kind.word) if (one.kind, one.word) == ("connector", "plug") else one
        for one in did.joints
    )
    return replace(did, joints=tuple(joints))


def _screwed(joint: JointSaid) -> JointSaid:
    """A plug with a head is no connector: plug out, hex 8."""
    plug = (joint.kind, joint.word) == ("connector", "plug") and joint.head not in (None, HAND)
    return replace(joint, kind="plug") if plug else joint


def _of_a_sensor(joint: JointSaid) -> JointSaid:
    """Of sensors that were unplugged, the plugs came off."""
    return replace(joint, kind="connector", word="connector") if joint.word == "sensor" else joint


def kind_named(name: Name | None) -> JointSaid:
    """The joint that a name ends with, without a count."""
    assert name is not None
    last = lexemes(" ".join(one.norm for one in tokens_of(name.words or name.label)))[-1]
    return JointSaid(kind=last.value.name, word=last.value.word)


def _with_kind(did: Did, kind: KindSaid) -> Did:
    """The joint that the name tells, with the size that was said for it."""
    first = did.joints[0] if did.joints else JointSaid()
    if first.kind is not None:
        named = JointSaid(kind=kind.name, word=kind.word, count=None if kind.many else 1)
        return did if first.kind == kind.name else replace(did, joints=(named, *did.joints))
    count = first.count if first.counted else (None if kind.many else 1)
    named = replace(first, kind=kind.name, word=kind.word, count=count)
    if not kind.many and count is not None and count > 1 and first.head is not None and not first.doubts:
        doubt = OpenPoint("count", f"Is that {count} {kind.word}s?", (str(count), "1"), number=count)
        named = replace(named, doubts=(doubt,))  # drum bolt 13 torx 40
    others = (one if one.kind else replace(one, kind=kind.name, word=kind.word) for one in did.joints[1:])
    return replace(did, joints=(named, *others))


def one_each(did: Did, parts: Mapping[str, str]) -> list[Did]:
    """``shelf and bracket off`` are two acts."""
    if did.part is None or did.part.key is not None or did.act.value is Act.TORQUE:
        return [did]
    label = did.part.label.replace(" & ", " and ")
    if label.casefold() in fluid_words():  # water and antifreeze is one
        return [did]
    names = [one.strip() for one in label.split(" and ")]
    parted = label.split(" and the ") if did.joints else names  # belt and chain guard off, 2 nuts, is one
    if any(_ends_with_fastener(one) for one in names):
        return [did]
    if len(names) == 1 or len(parted) != len(names) or any(_only_where(one) for one in names):
        return [did]
    first, *others = (known_name(one.removeprefix("the "), parts) for one in names)
    return [replace(did, part=first), *(Did(did.act, one, before=did.before) for one in others)]


def _ends_with_fastener(name: str) -> bool:
    """Of ``lower wheel circlip and a shim`` nobody can tell how many parts came off: it is asked."""
    found = lexemes(" ".join(one.norm for one in tokens_of(name)))
    return bool(found) and found[-1].sort is Is.KIND and found[-1].value.name in _FASTENERS


def _only_where(name: str) -> bool:
    """``left`` of ``side panels left and right`` names no part, nor does nothing."""
    return only_adjectives(tokens_of(name))
