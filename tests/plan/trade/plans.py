"""The trade's machines, planned both ways with good practice; each once in a run."""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from sequencer.plan.practice.rules import Practice
from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.plan.jobs import by_hand_where_nothing_is_said, machine_of, there_and_back
from tests.support.plain_machine import as_data, as_text

HERE = Path(__file__).parent

JOBS = {
    "alternator": ("alternator",),
    "bottom_bracket": ("cartridge",),
    "clutch": ("disc", "release-bearing", "crank-seal"),
    "gearbox_seal": ("seal",),
    "head_gasket": ("head",),
    "outboard": ("impeller", "plate", "thrust-washer"),
    "timing_belt": ("timing-belt", "water-pump", "tensioner"),
    "washing_machine": ("outer-bearing",),
    "water_pump": ("pump",),
    "wheel_bearing": ("bearing",),
}


@dataclass(frozen=True)
class Way:
    """The steps of one way."""

    steps: tuple[str, ...]
    positions: tuple[str, ...]

    def at(self, step: str) -> int:
        return self.steps.index(step)

    def comes(self, *steps: str) -> bool:
        """Whether these steps come one after another, with whatever between."""
        places = [self.at(step) for step in steps]
        return places == sorted(places)

    def runs(self, *steps: str) -> bool:
        """Whether these steps follow one another directly."""
        first = self.at(steps[0])
        return self.steps[first : first + len(steps)] == steps

    def between(self, first: str, last: str) -> tuple[str, ...]:
        return self.steps[self.at(first) + 1 : self.at(last)]

    def all_before(self, part: str, step: str) -> bool:
        """Whether all that is done at a part comes before the step."""
        return all(number < self.at(step) for number in self._of(part))

    def all_after(self, part: str, step: str) -> bool:
        return all(number > self.at(step) for number in self._of(part))

    def _of(self, part: str) -> list[int]:
        found = [
            number for number, step in enumerate(self.steps) if step.split(" ", 1)[1].split("/")[0] == part
        ]
        assert found, part
        return found


def spelt_out(text: str) -> str:
    """The file with tools and times written where the program has usual ones, for the independent reading."""
    machine, read = as_data(by_hand_where_nothing_is_said(text)), machine_of(text)
    for part, about in machine["parts"].items():
        for name, joint in about.get("joints", {}).items():
            if not {"time", "each"} & set(joint):
                joint["time"] = f"{read.joint(part, name).seconds} s"
    return as_text(machine)


@cache
def both_ways(job: str):
    """The text, the targets, and both plans."""
    text = (HERE / f"{job}.yaml").read_text(encoding="utf-8")
    targets = [("off", part) for part in JOBS[job]]
    return text, targets, *there_and_back(text, targets, practice=Practice.ALL)


def ways(job: str) -> tuple[Way, Way]:
    _, _, there, home = both_ways(job)
    return tuple(
        Way(tuple(s["op"] for s in data["steps"]), tuple(s["position"] for s in data["steps"]))
        for data in (teardown_json(there), refit_json(home))
    )
