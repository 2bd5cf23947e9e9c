"""The bar chart of a schedule as SVG: a lane for each person, kinds told apart by pattern, not by colour."""

from __future__ import annotations

from html import escape
from itertools import count

from sequencer.document.clean import clean
from sequencer.document.plans.crew_bars import Bar, Doing, bars, clock, initial, letters
from sequencer.document.plans.crew_chart import TICKS
from sequencer.document.plans.plan import aims_of
from sequencer.document.words import duration, tool_words
from sequencer.graph.said import sentence
from sequencer.plan.crew.crew import Schedule

WIDTH, LEFT, RIGHT = 1120, 34, 16
LANE, GAP, TOP = 62, 14, 84
LETTER = 6.1
"""Width of a character at the size of the labels, in the units of the picture; a little too wide is right."""

FILLS = {
    Doing.WORK: "#ffffff",
    Doing.TOGETHER: "url(#dots)",
    Doing.CHANGE: "url(#hatch)",
    Doing.WAIT: "none",
}
PATTERNS = (
    '<defs><pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" '
    'patternTransform="rotate(45)"><rect width="6" height="6" fill="#fff"/>'
    '<line x1="0" y1="0" x2="0" y2="6" stroke="#444" stroke-width="2"/></pattern>'
    '<pattern id="dots" width="7" height="7" patternUnits="userSpaceOnUse">'
    '<rect width="7" height="7" fill="#ddd"/><circle cx="3.5" cy="3.5" r="1.3" fill="#000"/></pattern></defs>'
)


def schedule_svg(schedule: Schedule) -> str:
    """A picture 1120 units wide that prints on A4 across."""
    plan = schedule.plan
    scale = (WIDTH - LEFT - RIGHT) / (float(schedule.seconds) or 1.0)
    bottom = TOP + schedule.people * (LANE + GAP)
    height = bottom + 62 + 18 * (sum(len(p.label) + 6 for p in plan.machine.positions.values()) // 170)
    title = f"{plan.machine.name} – {aims_of(plan)}"
    told = f"{schedule.people} people: {_worth(schedule)}; one person: {duration(plan.totals.seconds)}"
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height}" '
        f'font-family="sans-serif" font-size="11" role="img">'
    )
    pieces = [
        head,
        f"<title>{_text(title)}</title>",
        PATTERNS,
        f'<rect width="{WIDTH}" height="{height}" fill="#fff"/>',
        f'<text x="{LEFT}" y="24" font-size="16" font-weight="bold">{_text(title)}</text>',
        f'<text x="{LEFT}" y="44" font-size="12">{_text(told)}</text>',
        *_axis(schedule, scale, bottom),
    ]
    for person in range(schedule.people):
        top = TOP + person * (LANE + GAP)
        pieces.append(
            f'<text x="8" y="{top + LANE / 2 + 6}" font-size="17" font-weight="bold">{initial(person)}</text>'
        )
        for bar in bars(schedule, person):
            pieces += _bar(schedule, bar, LEFT, top, scale)
    pieces += [*_legend(schedule, bottom + 14), "</svg>"]
    return "\n".join(pieces) + "\n"


def _worth(schedule: Schedule) -> str:
    gap = f"at most {float(schedule.gap):.1%} of it could still be saved"
    return f"{duration(schedule.seconds)} ({'proven the least' if schedule.proven else gap})"


def _axis(schedule: Schedule, scale: float, bottom: float) -> list[str]:
    step = next((m for m in TICKS if m * 60 * scale >= 60), TICKS[-1])
    pieces: list[str] = []
    for tick in count():
        seconds = tick * step * 60
        if seconds > schedule.seconds:
            break
        x = LEFT + seconds * scale
        pieces.append(
            f'<line x1="{x:.1f}" y1="{TOP - 8}" x2="{x:.1f}" y2="{bottom - GAP + 4}" stroke="#bbb"/>'
        )
        pieces.append(f'<text x="{x:.1f}" y="{TOP - 12}" text-anchor="middle">{clock(seconds)}</text>')
    return pieces


def _bar(schedule: Schedule, bar: Bar, left: float, top: float, scale: float) -> list[str]:
    x, width = left + float(bar.start) * scale, float(bar.end - bar.start) * scale
    low = bar.doing in (Doing.CHANGE, Doing.WAIT)
    y, height = (top + LANE * 0.35, LANE * 0.3) if low else (top, LANE)
    dash = ' stroke-dasharray="3 3"' if bar.doing is Doing.WAIT else ""
    heavy = 2.5 if bar.doing is Doing.TOGETHER else 1
    box = (
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}" fill="{FILLS[bar.doing]}" '
        f'stroke="#000" stroke-width="{heavy}"{dash}><title>{_text(_about(schedule, bar))}</title></rect>'
    )
    pieces = [box]
    if bar.visits:
        room = int((width - 6) / LETTER)
        halo = ' paint-order="stroke" stroke="#fff" stroke-width="4"' if bar.doing is Doing.TOGETHER else ""
        for row, words in enumerate(_labels(schedule, bar)):
            if shown := _shortened(words, room):
                pieces.append(
                    f'<text x="{x + 4:.1f}" y="{top + 17 + row * 17:.1f}"{halo}>{_text(shown)}</text>'
                )
    return pieces


def _labels(schedule: Schedule, bar: Bar) -> tuple[str, str, str]:
    machine = schedule.plan.machine
    numbers = [visit.turn.number for visit in bar.visits]
    steps = f"{numbers[0]}" if len(numbers) == 1 else f"{numbers[0]}–{numbers[-1]}"
    place = machine.positions[bar.position or ""].label
    letter = letters(schedule)[bar.position or ""]
    return letter, steps, f"{place}, {tool_words(machine, bar.visits[0].tool)}"


def _about(schedule: Schedule, bar: Bar) -> str:
    machine = schedule.plan.machine
    lines = [f"{clock(bar.start)} to {clock(bar.end)}, {bar.doing.value}"]
    lines += [f"{v.turn.number} {sentence(machine, v.turn.step.operation)}" for v in bar.visits]
    return "\n".join(lines)


def _legend(schedule: Schedule, top: float) -> list[str]:
    occurring = {bar.doing for person in range(schedule.people) for bar in bars(schedule, person)}
    pieces, x = [], float(LEFT)
    for doing in (doing for doing in Doing if doing in occurring):
        dash = ' stroke-dasharray="3 3"' if doing is Doing.WAIT else ""
        pieces.append(
            f'<rect x="{x}" y="{top - 10}" width="26" height="13" fill="{FILLS[doing]}" '
            f'stroke="#000" stroke-width="{2.5 if doing is Doing.TOGETHER else 1}"{dash}/>'
            f'<text x="{x + 33}" y="{top + 1}">{_text(doing.value)}</text>'
        )
        x += 70 + LETTER * len(doing.value)
    x, row = float(LEFT), top + 20
    for position, letter in letters(schedule).items():
        words = f"{letter} {clean(schedule.plan.machine.positions[position].label)}"
        if x + LETTER * len(words) > WIDTH - RIGHT:
            x, row = float(LEFT), row + 18
        pieces.append(f'<text x="{x:.0f}" y="{row + 1}">{_text(words)}</text>')
        x += 24 + LETTER * len(words)
    return pieces


def _shortened(words: str, room: int) -> str:
    words = clean(words)
    if len(words) <= room:
        return words
    return words[: room - 1].rstrip() + "…" if room >= 8 else ""


def _text(words: str) -> str:
    return escape("\n".join(clean(line) for line in words.split("\n")))
