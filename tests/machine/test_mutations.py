"""Damaged and random files: never an exception, always a place, never long."""

import random
import re
import time
from collections import Counter

import pytest

from sequencer.machine import read_text
from tests.machine.texts import PAGE, SMALL
from tests.support.profile import counts

PAGE_TEXT = PAGE.read_text("utf-8")
SIGNS = "{}[]:,-?&*!|>'\"#%@`~=/\\ \n\té泵0179.Tabc" * 8 + "\0\x1b\u2028\ufeff\ud800"  # the last: in no text
ODD = "null ~ yes [] {} - : any off fitted 1/0 -1 1e99 .inf 0x1f 99999999999999999999 << each aside stages"
WORDS = (
    *re.findall(r"[\w./]+", PAGE_TEXT),
    *re.split(" ", ODD),
    "35 psi",
    "90 deg",
    "10 furlong",
    "caution",
    "note",
)


def damage_signs(rng: random.Random, text: str) -> str:
    """A few characters put in, taken out or replaced."""
    signs = list(text)
    for _ in range(rng.choice((1, 1, 2, 5, 20))):
        at = rng.randrange(len(signs))
        signs[at : at + rng.choice((0, 1, 1, 3))] = rng.choice(("", rng.choice(SIGNS)))
    return "".join(signs)


def damage_words(rng: random.Random, text: str) -> str:
    """A few words replaced by others: the YAML mostly stays whole, its meaning does not."""
    pieces = re.split(r"([\w./]+)", text)
    for _ in range(rng.choice((1, 2, 4, 8))):
        pieces[rng.randrange(len(pieces) // 2) * 2 + 1] = rng.choice(WORDS)
    return "".join(pieces)


def damage_lines(rng: random.Random, text: str) -> str:
    """Lines dropped, doubled, moved or indented otherwise; or the end cut off."""
    lines = text.splitlines(keepends=True)
    for _ in range(rng.choice((1, 2, 4))):
        at, other = rng.randrange(len(lines)), rng.randrange(len(lines))
        match rng.randrange(5):
            case 0 if len(lines) > 2:
                del lines[at]
            case 1:
                lines.insert(other, lines[at])
            case 2:
                lines[at], lines[other] = lines[other], lines[at]
            case 3:
                lines[at] = " " * rng.randrange(6) + lines[at].lstrip(" ")
            case _:
                lines = lines[: max(at, 1)]
    return "".join(lines)


def random_text(rng: random.Random) -> str:
    """Words and signs without any sense."""
    return "".join(
        rng.choice((rng.choice(SIGNS), rng.choice(WORDS), " ", ": ", "\n  "))
        for _ in range(rng.randrange(200))
    )


def random_tree(rng: random.Random) -> str:
    """Sound YAML of known keys and random values, all of it in one line."""
    keys = re.findall(r"(\w+):", PAGE_TEXT)

    def value(depth: int) -> str:
        kind = rng.randrange(4 if depth < 5 else 1)
        if kind in (0, 3):
            return rng.choice(("", rng.choice(keys), f'"{rng.choice(WORDS)}"'))
        inside = [value(depth + 1) for _ in range(rng.randrange(4))]
        if kind == 1:
            return f"[{', '.join(inside)}]"
        return "{" + ", ".join(f"{rng.choice(keys)}: {one}" for one in inside) + "}"

    return f"{{machine: x, parts: {{a: {value(0)}}}, {rng.choice(keys)}: {value(0)}}}\n"


KINDS = {
    "signs in the page's sample": lambda rng: damage_signs(rng, PAGE_TEXT),
    "words in the page's sample": lambda rng: damage_words(rng, PAGE_TEXT),
    "lines in the page's sample": lambda rng: damage_lines(rng, PAGE_TEXT),
    "signs in a small machine": lambda rng: damage_signs(rng, SMALL),
    "words in a small machine": lambda rng: damage_words(rng, SMALL),
    "lines in a small machine": lambda rng: damage_lines(rng, SMALL),
    "all of it at once": lambda rng: damage_lines(rng, damage_words(rng, damage_signs(rng, SMALL))),
    "random text": random_text,
    "random trees": random_tree,
    "random trees, damaged": lambda rng: damage_signs(rng, random_tree(rng)),
}
EACH = counts(quick=2, landing=8, nightly=2000)


@pytest.mark.parametrize("kind", KINDS)
def test_damaged_files_of_each_kind_are_read_or_refused_with_a_place(kind):
    outcomes = Counter()
    for seed in range(EACH):
        text = KINDS[kind](random.Random(f"{kind} {seed}"))
        began = time.process_time()
        reading = read_text(text, "f.yaml")
        assert time.process_time() - began < 10, text
        outcomes[reading.machine is not None] += 1
        assert (reading.machine is None) == any(fault.severity == "error" for fault in reading.faults)
        for fault in reading.faults:
            assert re.fullmatch(r"f\.yaml:[1-9]\d*:[1-9]\d*: .*[^ ];? ?.+", str(fault)), str(fault)
            assert fault.place.line <= text.count("\n") + text.count("\r") + text.count("\u2028") + 2
            assert fault.problem, text
        assert list(reading.faults[:-1]) == sorted(
            reading.faults[:-1], key=lambda fault: (fault.place.line, fault.place.column)
        )
    assert sum(outcomes.values()) == EACH
    assert outcomes[False] > EACH // 5  # the damage is real
