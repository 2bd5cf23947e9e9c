"""What the critic found, in words: on the terminal, at the head of a plan, as data, on the page."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib import resources
from pathlib import Path

from sequencer.critic import Code, Finding, Severity, findings_at
from sequencer.critic.finding import Fact, Named
from sequencer.document.blocks import Block, Item, Items, Para, Span, Tone
from sequencer.document.clean import clean
from sequencer.document.words import duration, plural, target_words, tool_words
from sequencer.graph.said import path_words
from sequencer.machine.called import name_of
from sequencer.machine.model import Machine, Place, Subject
from sequencer.plan.plan import Plan
from sequencer.wording import capital, listing

MOST_AT_THE_HEAD = 5
"""Lines at the head of a plan."""

MOST_NAMED = 3
"""Things that are named in one line; the rest is counted."""

SEVERITY_WORDS = {
    Severity.HURTS: "Somebody gets hurt, or something breaks",
    Severity.COSTS: "It costs hours, or has to be done again",
    Severity.AWKWARD: "Nobody works like that",
}
"""What each can come to, as a heading."""


@dataclass(frozen=True)
class Oddity:
    """A finding in words: what is odd, and the one line that mends it."""

    code: Code
    severity: Severity
    place: Place
    about: str
    odd: str
    mend: str

    def __str__(self) -> str:
        return f"{self.place}:{self.place.column}: {self.odd}; {self.mend}"

    @property
    def where(self) -> str:
        """File and line for somebody who has the file before them."""
        return f"{Path(self.place.file).name}:{self.place.line}"


def oddities(machine: Machine, found: Iterable[Finding]) -> tuple[Oddity, ...]:
    """Findings in words, the worst first."""
    told = (_oddity(machine, finding) for finding in found)
    return tuple(sorted(told, key=lambda one: one.severity.rank))


def at_the_head(plan: Plan) -> Iterator[Block]:
    """What a plan's job meets, in at most five lines; nothing where nothing is odd."""
    lines = head_lines(plan.machine, findings_at(plan), all_of_them(plan.machine))
    if lines:
        yield Items(tuple(Item(line, "?") for line in lines), marks=1)


def all_of_them(machine: Machine) -> str:
    """Where all findings are told, for somebody at a terminal."""
    return f": sequencer check --plan {machine.file}"


def head_lines(machine: Machine, found: Iterable[Finding], where: str = "") -> list[str]:
    """Findings in at most five lines, the worst first; ``where`` says of more where all of them are told."""
    told = oddities(machine, found)
    most = len(told) if len(told) <= MOST_AT_THE_HEAD else MOST_AT_THE_HEAD - 1
    lines = [f"{one.where}: {one.odd}; {one.mend}" for one in told[:most]]
    if rest := len(told) - most:
        lines.append(f"and {rest} more{where}")
    return lines


def critic_document(found: Sequence[Oddity], order: str) -> Iterator[Block]:
    """All findings, by what they can come to; ``order`` says which order of work was looked at."""
    if not found:
        yield Para(f"Nothing odd. Looked at: the file and {order}.")
        return
    for severity in Severity:
        here = [one for one in found if one.severity is severity]
        if here:
            yield Para(f"{SEVERITY_WORDS[severity]}:", Tone.STRONG, apart=True)
            yield Items(tuple(Item(_line(one, str(one.place)), "?") for one in here), marks=1)
    yield Para(
        f"{plural(len(found), 'oddity', 'oddities')}; looked at: the file and {order}.",
        Tone.FAINT,
        apart=True,
    )


def order_words(machine: Machine, removal: Plan | None, refit: Plan | None, *, whole: bool) -> str:
    """Which order of work was looked at: of one job, of all of the machine, or none."""
    if removal is None:
        return "no order of work, for none takes the whole machine apart"
    alone = "" if refit else "; there is no way back"
    if whole:
        return f"an order for all of it, apart and together{alone}"
    return f"the order for this: {listing(target_words(machine, one) for one in removal.targets)}{alone}"


def _line(one: Oddity, where: str) -> tuple[str | Span, ...]:
    return (f"{where}: {one.odd}; {one.mend}", Span(f"  [{one.code.value}]", Tone.FAINT))


def _oddity(machine: Machine, finding: Finding) -> Oddity:
    about = thing_words(machine, finding.section, finding.about)
    facts = {"about": about, "about_name": finding.about, **_facts(machine, finding.facts)}
    said = words()[finding.code.value]
    odd, mend = (clean(said[key].format(**facts)) for key in ("odd", "mend"))
    within = f" ({finding.place.within})" if finding.place.within else ""
    odd = f"{capital(odd)}{within}"
    return Oddity(finding.code, finding.severity, finding.place, finding.about, odd, mend)


@cache
def words() -> dict[str, dict[str, str]]:
    """``data/critic.toml``."""
    text = resources.files("sequencer.document").joinpath("data/critic.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


_SECTIONS = {
    "task": "tasks",
    "live": "tasks",
    "fluid": "fluids",
    "fluids": "fluids",
    "position": "positions",
    "to": "positions",
}
"""Where the facts of these names stand in a file; others that are named are parts or joints."""


def thing_words(machine: Machine, section: str, name: str) -> str:
    """Anything that a file names, as people say it; what it does not name stands as it is."""
    if Subject(name).joint:
        return path_words(machine, name)
    known: Mapping[str, Named] = getattr(machine, section if section in _SECTIONS.values() else "parts")
    return name_of(name, known[name].label) if name in known else name


def _facts(machine: Machine, facts: Mapping[str, Fact]) -> dict[str, str]:
    """Each fact in words, and under ``…_name`` or ``…_names`` as the file has it."""
    told: dict[str, str] = {}
    for key, value in facts.items():
        section = _SECTIONS.get(key, "parts")
        if isinstance(value, tuple):
            told[key] = listing((thing_words(machine, section, one) for one in value), MOST_NAMED)
            told[f"{key}_names"] = ", ".join(value)
        elif key == "seconds":
            told[key] = duration(Fraction(value))
        elif key == "steps":
            told[key] = plural(int(value), "step")
        elif key == "tool":
            told[key] = tool_words(machine, str(value))
        elif isinstance(value, str):
            told[key] = thing_words(machine, section, value)
            told[f"{key}_name"] = value
        else:
            told[key] = f"{value:g}"
    return told
