"""``python -m tests.spoken.score [lines.toml ...]``: how many lines are read rightly, and which are not."""

import sys
import time
import tomllib
from collections import Counter
from pathlib import Path

from tests.spoken.notation import judge

LISTS = (
    "lines.toml",
    "by_class.toml",
    *(f"held_out{number}.toml" for number in ("", "_2", "_3", "_4", "_5", "_6", "_7")),
    *(f"trades{number}.toml" for number in ("", "_2", "_3", "_4", "_5", "_6")),
    "ways_of_talking.toml",
    "ways_of_talking_2.toml",
)


def entries(name):
    return tomllib.loads((Path(__file__).parent / name).read_text(encoding="utf-8"))["lines"]


def main(names):
    for name in names or LISTS:
        verdicts = Counter()
        begun = time.process_time()
        for entry in entries(name):
            verdict = judge(entry)
            verdicts[verdict.word] += 1
            if verdict.word != "right":
                print(f"{verdict.word:6} {entry['say']}\n       more {verdict.extra}, less {verdict.missing}")
                print(f"       {verdict.facts}")
        print(
            name,
            dict(verdicts),
            f"{1000 * (time.process_time() - begun) / sum(verdicts.values()):.1f} ms a line",
        )


if __name__ == "__main__":
    main(sys.argv[1:])
