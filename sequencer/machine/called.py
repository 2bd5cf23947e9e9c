"""Which part or joint somebody means: by its key, by its label, or by words of it that no other has.

One rule for every name that is typed: ``inner-bearing``, ``Inner bearing``, ``the inner bearing``, and
``bearing`` where there is only one. Where several may be meant that is asked, never guessed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from sequencer.errors import SequencerError
from sequencer.machine.facts.basics import Subject
from sequencer.machine.facts.taken import Told
from sequencer.machine.faults import nearest, quote
from sequencer.machine.heard.places import place_meant
from sequencer.machine.model import Joint, Machine, Part
from sequencer.wording import listing

_SPARE = frozenset({"the", "a", "an", "of", "on", "from", "its", "my", "our", "this", "that", "at", "and"})
"""Words of a name that tell nothing apart."""

_MOST_NAMED = 6

_MOST_KNOWN = 12
"""Of what the file lists, where a name is none of it."""


class AmbiguousError(SequencerError):
    """A name that may mean several things."""


def words_of(text: str) -> frozenset[str]:
    """The words of a name, without those that tell nothing."""
    words = [word for word in re.split(r"[^\w.]+|_+", text.casefold()) if word.strip(".")]
    return frozenset(word for word in words if word not in _SPARE) or frozenset(words)


def name_of(name: str, label: str | None) -> str:
    """A thing by its label, or by its name with the dashes taken out."""
    return label or name.replace("-", " ").replace("_", " ")


def part_label(part: Part) -> str:
    """What a part is called."""
    return name_of(part.name, part.label)


def thing_label(machine: Machine, told: Told) -> str:
    """What a part, joint, fluid or task of the order in which a machine came apart is called."""
    name = told.atom.part
    if told.atom.joint is not None:
        return joint_label(machine, machine.joint(name, told.atom.joint))
    if told.section == "parts":
        return part_label(machine.parts[name])
    label = machine.tasks[name].label if told.section == "tasks" else machine.fluids[name].label
    return name_of(name, label)


def joint_label(machine: Machine, joint: Joint) -> str:
    """What a joint is called with its part: ``Cover bolts``."""
    return f"{part_label(machine.parts[joint.part])} {name_of(joint.name, joint.label)}"


def joints_in(machine: Machine) -> dict[str, Joint]:
    """Every joint of every part, by its path."""
    return {joint.path: joint for part in machine.parts.values() for joint in part.joints.values()}


def joint_words(machine: Machine, joint: Joint) -> frozenset[str]:
    """The words that a joint goes by, those of its part, its kind and its thread among them."""
    fastened = f"{joint.kind} {many(joint.kind)} {joint.thread or ''}"
    return words_of(f"{joint.part} {joint_label(machine, joint)} {joint.name} {fastened}")


def known_by_name(machine: Machine, text: str) -> str | None:
    """The key of the part that bears this name, whole; None where it is another one's, or a new one."""
    labels = {name: part_label(part) for name, part in machine.parts.items()}
    found = _spelt(text, labels)
    return found[0] if len(found) == 1 else None


def position_called(machine: Machine, text: str) -> str:
    """The key of the position that ``text`` names.

    Raises:
        SequencerError: There is none, or it may be several.
    """
    labels = {name: one.label for name, one in machine.positions.items()}
    if text not in labels and (place := place_meant(text, labels)) is not None:
        return place
    found = _meant(text, labels, {name: words_of(f"{name} {label}") for name, label in labels.items()})
    if len(found) == 1:
        return found[0]
    raise _asked("position", text, found) if found else _none("position", text, labels)


def meant_parts(machine: Machine, text: str) -> tuple[str, ...]:
    """The keys of the parts that a name may mean: one where it is known, none where nothing is like it."""
    labels = {name: part_label(part) for name, part in machine.parts.items()}
    return _meant(text, labels, {name: words_of(f"{name} {label}") for name, label in labels.items()})


def meant_joints(machine: Machine, text: str) -> tuple[str, ...]:
    """The paths of the joints that a name may mean: ``cover/bolts``, ``cover bolts``, ``bolts of the cover``.

    A name of a part alone means its one joint, if it has no more.
    """
    joints = joints_in(machine)
    named = Subject(text)
    if named.of_joint and text.strip() not in joints:
        parts, name = meant_parts(machine, named.part.strip()), named.joint.strip()
        own = [path for one in parts for path in joints if Subject(path).part == one]
        labels = {path: joints[path].label or joints[path].name for path in own}
        return _meant(name, labels, {path: words_of(f"{joints[path].name} {labels[path]}") for path in own})
    labels = {path: joint_label(machine, joint) for path, joint in joints.items()}
    found = _meant(text, labels, {path: joint_words(machine, joint) for path, joint in joints.items()})
    if found:
        return found if text.strip() in joints else _with_namesakes(joints, found)
    parts = meant_parts(machine, text)
    own = [path for path in joints if parts == (Subject(path).part,)]
    return tuple(own)


def _with_namesakes(joints: Mapping[str, Joint], found: Iterable[str]) -> tuple[str, ...]:
    """With the others of their part that are told apart by a number alone: ``bolts`` and ``bolts-2``."""
    stems = {re.sub(r"-\d+$", "", path) for path in found}
    return tuple(path for path in joints if path in found or re.sub(r"-\d+$", "", path) in stems)


def part_called(machine: Machine, text: str) -> str:
    """The key of the part that ``text`` names.

    Raises:
        AmbiguousError: It may mean several.
        SequencerError: There is none, with what was probably meant.
    """
    found = meant_parts(machine, text)
    if len(found) == 1:
        return found[0]
    raise _asked("part", text, found) if found else _none("part", text, machine.parts)


def part_spoken_of(machine: Machine, text: str) -> str | None:
    """The one part that a remark names: by its whole label, or by its noun if no other has that."""
    said = f" {_plain(text)} "
    labels = {key: _plain(part_label(part)) for key, part in machine.parts.items()}
    named = [key for key, label in labels.items() if label and f" {label} " in said]
    longest = [key for key in named if not any(labels[key] in labels[one] for one in named if one != key)]
    if not longest:
        nouns = {key: _plain(head_noun(part_label(part).casefold())) for key, part in machine.parts.items()}
        longest = [key for key, noun in nouns.items() if noun and f" {noun.split()[-1]} " in said]
    return longest[0] if len(longest) == 1 else None


def thing_called(machine: Machine, text: str) -> str:
    """The name in the file of the task, fluid, part or joint that ``text`` names.

    Raises:
        SequencerError: There is none, or it may be several.
    """
    besides = {name: one.label or name for name, one in machine.tasks.items()}
    besides |= {name: one.label or name for name, one in machine.fluids.items()}
    found = _meant(text, besides, {name: words_of(f"{name} {label}") for name, label in besides.items()})
    found = found or meant_parts(machine, text) or meant_joints(machine, text)
    if len(found) == 1:
        return found[0]
    what = "task, fluid, part or joint"
    raise _asked(what, text, found) if found else _none(what, text, (*besides, *machine.parts))


def joint_called(machine: Machine, text: str) -> Joint:
    """The joint that ``text`` names.

    Raises:
        AmbiguousError: It may mean several.
        SequencerError: There is none, with what was probably meant.
    """
    found, joints = meant_joints(machine, text), joints_in(machine)
    if len(found) == 1:
        return joints[found[0]]
    named = Subject(text.strip())
    own = {Subject(path).joint: path for path in joints if Subject(path).part == named.part}
    if named.of_joint and own and not found:
        near = nearest(named.joint, own)
        remedy = f"did you mean {own[near]}?" if near else f"its joints are {', '.join(own.values())}"
        raise SequencerError(f"there is no joint {quote(text)!r}", remedy)
    raise _asked("joint", text, found) if found else _none("joint", text, joints, "see the file")


def _meant(text: str, labels: Mapping[str, str], words: Mapping[str, frozenset[str]]) -> tuple[str, ...]:
    if exact := _spelt(text, labels):
        return exact
    asked = words_of(text)
    return tuple(key for key, known in words.items() if _fits(asked, known, labels[key], key))


def _spelt(text: str, labels: Mapping[str, str]) -> tuple[str, ...]:
    """Those whose key or label is written like it, with or without an s at the end."""
    if text.strip() in labels:
        return (text.strip(),)
    spelt = _plain(text)
    for variant in (spelt, spelt.removesuffix("s"), f"{spelt}s") if spelt else ():
        exact = tuple(key for key, label in labels.items() if variant in (_plain(label), _plain(key)))
        if exact:
            return exact
    return ()


def _fits(asked: frozenset[str], known: frozenset[str], label: str, key: str) -> bool:
    """Every word is one of the thing's, and one of them is the noun that its name ends with."""
    if not all(_said(word, known) for word in asked):
        return False
    names = (_plain(head_noun(name.casefold())) for name in (label, key))
    nouns = {name.split()[-1] for name in names if name}
    return any(_said(noun, asked) for noun in nouns)


def head_noun(label: str) -> str:
    """A label as far as the thing itself: the cap of the expansion tank is a cap, and no tank."""
    return re.split(r"\s(?:of|with|behind|over|under|for|on|at|in|from|to)\s", label)[0]


def _said(word: str, words: Iterable[str]) -> bool:
    return any(word in (one, f"{one}s") or one == f"{word}s" for one in words)


def _plain(text: str) -> str:
    """A name without articles, signs and capitals."""
    words = [word for word in re.split(r"[^\w.]+|_+", text.casefold()) if word.strip(".")]
    return " ".join(word for word in words if word not in _SPARE) or " ".join(words)


def many(kind: str) -> str:
    """The word for several of a kind of joint."""
    return f"{kind}es" if kind.endswith(("s", "sh", "ch", "x")) else f"{kind}s"


def _asked(what: str, text: str, found: Iterable[str]) -> AmbiguousError:
    names = list(found)
    more = f", … ({len(names)} in all)" if len(names) > _MOST_NAMED else ""
    return AmbiguousError(
        f"{quote(text)!r} may be several {what}s",
        f"say which: {', '.join(names[:_MOST_NAMED])}{more}",
        code="which",
    )


def _none(what: str, text: str, known: Iterable[str], otherwise: str = "") -> SequencerError:
    names = list(known)
    near = nearest(text.strip(), names)
    if near:
        remedy = f"did you mean {near}?"
    elif otherwise:
        remedy = otherwise
    else:
        remedy = f"there are {listing(names, _MOST_KNOWN)}" if names else "the file lists none"
    return SequencerError(f"there is no {what} {quote(text)!r}", remedy)
