"""An old answer said anew: what it renamed, so that what was said later still finds its part."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from sequencer.machine.heard.near import likeness
from sequencer.machine.survey.question import SurveyQuestion
from sequencer.machine.survey.said import Said
from sequencer.wording import listing, small

_ALIKE = 0.6
"""From here on a name that comes instead of another is taken for the same thing, spelt rightly."""


_MOST_NAMED = 6


@dataclass(frozen=True)
class Changed:
    """What came of an old answer that was said anew.

    Attributes:
        echo: How it was understood.
        renamed: What was said of one part before and holds for another name now.
        again: Questions whose answers no longer made sense, and are asked again.
        needless: Questions that nothing asks any more; their answers are gone.
    """

    echo: str
    renamed: str
    again: tuple[SurveyQuestion, ...]
    needless: tuple[SurveyQuestion, ...]

    @property
    def words(self) -> str:
        """What became of the later answers, in one line; empty where all were kept."""
        lines = [self.renamed]
        if self.again:
            lines.append(f"asked again: {listing(_quoted(self.again), _MOST_NAMED)}")
        if self.needless:
            about = {f"what was said of the {small(one.about)}": None for one in self.needless if one.about}
            others = _quoted([one for one in self.needless if not one.about])
            lines.append(f"no longer needed: {listing((*about, *others), _MOST_NAMED)}")
        return "; ".join(line for line in lines if line)


def _quoted(questions: Iterable[SurveyQuestion]) -> list[str]:
    return list(dict.fromkeys(f"“{one.text}”" for one in questions))


@dataclass(frozen=True)
class Renamed:
    """What an answer that was said anew calls otherwise.

    Attributes:
        ids: Beginnings of questions' names, then and now.
        texts: Labels of parts, then and now.
    """

    ids: tuple[tuple[str, str], ...]
    texts: tuple[tuple[str, str], ...]

    @property
    def words(self) -> str:
        """What holds for another name."""
        return "; ".join(
            f"what was said of the {small(old)} holds for the {small(new)}" for old, new in self.texts
        )

    def read(self, question: str, text: str) -> tuple[str, str]:
        """A later answer's question and text, by the names of now."""
        for old, new in self.ids:
            question = f"{new}{question.removeprefix(old)}" if question.startswith(old) else question
        for old, new in self.texts:
            text = re.sub(rf"(?<![\w-]){re.escape(old)}(?![\w-])", new, text, flags=re.IGNORECASE)
        return question, text


def renamed(was: Said, now: Said) -> Renamed:
    """What is called otherwise now: a part spelt rightly, what is wanted off, a joint of the same kind."""
    ids, texts = [], []
    wanted = (was.targets, now.targets) if len(was.targets) == len(now.targets) == 1 else ([], [])
    for old, new in _instead(was.labels(), now.labels(), _spelt_alike) or list(zip(*wanted, strict=True)):
        if old != new:
            ids.append((f"parts/{old}/", f"parts/{new}/"))
            texts.append((was.parts[old].label, now.parts[new].label))
    for key in was.parts.keys() & now.parts.keys():
        before, after = was.parts[key].joints or {}, now.parts[key].joints or {}
        kinds = [{name: str(one.kind) for name, one in joints.items()} for joints in (before, after)]
        ids += [
            (f"parts/{key}/joints/{old}/", f"parts/{key}/joints/{new}/")
            for old, new in _instead(kinds[0], kinds[1], str.__eq__)
        ]
    return Renamed(tuple(ids), tuple(texts))


def _instead(
    was: dict[str, str], now: dict[str, str], same: Callable[[str, str], bool]
) -> list[tuple[str, str]]:
    """The one key that is gone and the one that came instead, if they are the same thing."""
    gone, come = [key for key in was if key not in now], [key for key in now if key not in was]
    one_each = len(gone) == len(come) == 1
    return [(gone[0], come[0])] if one_each and same(was[gone[0]], now[come[0]]) else []


def _spelt_alike(one: str, other: str) -> bool:
    shorter, longer = sorted((one.casefold(), other.casefold()), key=len)
    return longer.endswith(f" {shorter}") or likeness(one, other) >= _ALIKE
