"""What to do about a refusal, for somebody with a thumb on the page: buttons and plain words, no commands."""

from __future__ import annotations

from dataclasses import replace
from pathlib import PurePath

from sequencer.errors import SequencerError
from sequencer.machine.faults import MachineFileError

REMEDIES = {
    "not-yet": "do {first} first; if it is really done, say so under “Photo, note, more”, with the reason",
    "not-prepared": "tick each of them on its list, then the step",
    "curing": "do it after {cured}; if it can't wait, say so under “Photo, note, more”, with the reason",
    "race": "send it again",
    "busy": "send it again in a minute",
    "no-step": "load the page again: it shows the steps there are now",
    "no-reason": "say why in a few words",
    "nothing-left": "the overview says how the job stands",
    "other-device": "load the page again, and tick the steps that are done",
    "gate-open": "read it again, or close it without a reading and say why",
    "figure-open": "open it: say its torque and where that is from, or that it is hand tight",
    "not-asked": "",
    "no-answer": "answer yes, no, or don't know",
    "safe-already": "stop as it stands",
    "no-way": "the overview says how the job stands",
    "gone-on": "tap Stop again: it shows what makes it safe now",
    "one-by-one": "tick them one by one, then stop",
    "nothing-known": "the overview says whether the machine may be left as it is",
    "which-time": "say how long you have: 90 min, 2 h",
    "not-anew": "put it right on the part's own page",
    "asked-since": "load the page again",
    "no-source": "say where the figure is from",
    "which": "name it so that only one can be meant",
    "one-reading": "close one gate after the other, each on its own page",
    "which-stage": "pick the stage that was read, or all of them if each was done",
    "which-fasteners": "pick those that were pulled to it, or all of them",
    "nothing-to-undo": "to take back a step of another device, tap its tick",
    "rests-on-it": "take that back first",
    "turned": "",
    "not-turned": "turn first",
    "nothing-off": "",
    "apart-first": "take the machine apart again first: then more can come off",
    "known-targets": "the overview says how the job stands",
    "holds-what": "say what holds it, as in “bolt 10 x2”",
    "known-part": "leave out what holds it",
    "says-nothing": "say what it is in the way of",
    "no-name": "say in a few words what it is",
    "put-away": "set it up again, and take back the tick of its putting away",
    "too-late": "put back what held it, or hold it another way and skip “{crack}” with the reason",
    "stranded": "what is in front of it has to come off again first",
    "too-many": "say it of as many as there are",
    "no-target": "pick a part",
}
"""By the code of the fault; its facts stand in braces."""


AGAIN = frozenset({"race", "busy"})
"""Faults that are nobody's: the same may be taken a moment later."""


def for_a_thumb(fault: SequencerError) -> str:
    """The fault as the page says it: its own words for what to do, and of a file no more than its name."""
    if isinstance(fault, MachineFileError):
        places = [replace(one.place, file=PurePath(one.place.file).name) for one in fault.faults]
        return "\n".join(str(replace(one, place=at)) for one, at in zip(fault.faults, places, strict=True))
    remedy = REMEDIES[fault.code].format(**fault.facts) if fault.code in REMEDIES else fault.remedy
    return fault.said(fault.at.name if fault.at else "", remedy)
