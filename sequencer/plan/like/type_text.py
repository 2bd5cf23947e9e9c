"""The file of a machine that is like a type: the type's text with what is otherwise, and what is unsure."""

from __future__ import annotations

from sequencer.machine.edit.emit import block, comment_lines, flow
from sequencer.plan.like.known import Alike
from sequencer.wording import joined, small

_WIDTH = 110
_HEAD = (
    "What nobody has confirmed is as in the type: `from_type` at the end lists it; the plan marks it. The",
    "work itself confirms it. Torques, times and cautions are the type's: what holds for your machine is in",
    "its maker's manual, which wins wherever the two differ.",
)


def machine_text(known: Alike) -> str:
    """The file as text."""
    lines = comment_lines(
        f"Made from the type {known.type.named}, version {known.type.version}, by answering questions.", 0
    )
    if known.off:
        wanted = joined(small(known.label(target.part)) for target in known.targets)
        lines += comment_lines(f"Asked was what matters for: {wanted}.", 0)
    lines += [f"# {line}" for line in _HEAD]
    lines += ["#", "# The type's own text:", "#"]
    return "\n".join(lines) + "\n" + known.text.rstrip("\n") + "\n\n" + "\n".join(_from_type(known)) + "\n"


def _from_type(known: Alike) -> list[str]:
    lines = ["from_type:", *block("machine", known.type.named, 2), *block("version", known.type.version, 2)]
    names = [flow(one) for one in known.unsure]
    if not names:
        return lines
    rows = [[names[0]]]
    for name in names[1:]:
        if sum(len(one) + 2 for one in (*rows[-1], name)) > _WIDTH - 4:
            rows.append([])
        rows[-1].append(name)
    text = [f"    {', '.join(row)}," for row in rows]
    return [*lines, "  unsure: [", *text[:-1], text[-1].rstrip(","), "  ]"]
