"""One short line as a person says it beside the machine, read into values.

    parts = {"fan-shroud": "Fan shroud"}
    line = read("oil cooler aside: 2 nuts 10; was in the way of the fan shroud", Context(parts))
    line.said[0].act.value          # Act.ASIDE
    said_back(line)                 # Oil cooler moved aside: 2 nuts (10 mm socket). It was in the way of …
    line.question                   # what is worth asking; None where nothing is

Text in, values out: nothing is stored, nothing refused. What was not understood is kept as a note, what
nobody said is marked as a default, and where a line can mean two things the question says so. Joints are read
by the grammar that survey and ``found`` use (``machine/heard``); a line's words are in ``data/lines.toml``.
"""

from sequencer.spoken.line import read
from sequencer.spoken.readback import said_back
from sequencer.spoken.values import Context, Line

__all__ = ["Context", "Line", "read", "said_back"]
