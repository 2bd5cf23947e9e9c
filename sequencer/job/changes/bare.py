"""A job that begins with no more than a wish: its file names what is wanted off, and grows from there."""

from __future__ import annotations

import re
from collections.abc import Sequence

from sequencer.errors import SequencerError
from sequencer.job.changes.begin import Begun
from sequencer.job.journal.card import Card
from sequencer.job.journal.edits import Edit
from sequencer.job.now.moment import Moment
from sequencer.machine.called import meant_parts
from sequencer.machine.edit.emit import block
from sequencer.machine.model import Aim, Machine, State
from sequencer.machine.survey.short_lines import key_of, label_of, unused

FILE = "machine.yaml"
HERE = "here"
_HEAD = "# Written by the job as it goes. It may be edited at any time.\n"
_STATES = tuple(state.word for state in State if state is not State.FITTED)


def without_file(card: Card) -> bool:
    """Whether a job was begun without a machine file."""
    return not card.origin


def to_tell(moment: Moment) -> bool:
    """Whether what comes next is for the person to say: no file knows the way to what is wanted."""
    return without_file(moment.card) and not moment.state.turned and bool(moment.unreached)


def bare_file(title: str, off: Sequence[str], reach: Sequence[str] = ()) -> tuple[Begun, list[str]]:
    """The machine file of a job of which only the wish is known, and the wish by the names in that file.

    Args:
        title: What the machine is called.
        off: What is to come off, in the user's words; ``alternator=aside`` where that will do.
        reach: What is only to be reached: nobody can know when it is.

    Raises:
        SequencerError: There is no wish, or one that can't be kept.
    """
    if reach:
        raise SequencerError(
            "without a machine file nothing says when a part is reached",
            'name what has to come off: --off "cylinder head"; or give the file: --machine FILE',
        )
    parts: dict[str, dict[str, object]] = {}
    wishes = [one for one in (_wish(text, parts) for text in off) if one]
    if not wishes:
        raise SequencerError(
            "nothing says what is to come off",
            'say it in your words: --off "cylinder head"; or give a machine file: --machine FILE --off PART',
            code="no-target",
        )
    lines = [
        *block("machine", label_of(title) or "Machine", 0),
        *block("positions", {HERE: {"label": "At the machine"}}, 0, spread=True),
        "parts:",
        *(line for key, fields in parts.items() for line in block(key, fields, 2, spread=True)),
    ]
    text = _HEAD + "\n".join(lines) + "\n"
    return Begun(FILE, text.encode()), wishes


def more_wishes(machine: Machine, off: Sequence[str]) -> tuple[list[str], list[Edit]]:
    """Wishes that come later, by the names in the file, and what they add to it: parts that nobody named yet.

    Args:
        machine: By the file as it is.
        off: What is to come off too, in the user's words.

    Raises:
        SequencerError: One of them can't be kept.
    """
    there = (*machine.parts, *machine.tasks, *machine.fluids)
    parts: dict[str, dict[str, object]] = {name: {} for name in there}
    wishes = [text if meant_parts(machine, Aim(text).part) else _wish(text, parts) or text for text in off]
    edits: list[Edit] = [["add", ["parts", key], fields, None] for key, fields in parts.items() if fields]
    return wishes, edits


def _wish(text: str, parts: dict[str, dict[str, object]]) -> str:
    """One wish as an option takes it; its part is put among ``parts``."""
    wanted = Aim(text)
    label, word = label_of(wanted.part), wanted.state
    if not re.search(r"\w", label):
        return ""
    if word is not None and word not in _STATES:
        raise SequencerError(f"{text}: there is no state {word!r}", f"a part can be {', '.join(_STATES)}")
    known = next((key for key, fields in parts.items() if fields.get("label") == label), None)
    key = known or unused(key_of(label), parts)
    fields = parts.setdefault(key, {"label": label, "unsure": ["joints"]})
    if word in (None, State.OFF.word):
        return key
    fields[word] = "yes"
    return f"{key}={word}"
