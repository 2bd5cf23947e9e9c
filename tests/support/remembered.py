"""What a run of the tests has asked the engine once is not solved again, and no machine file read twice.

Every test asks in its own words and gets what the engine has really answered; only the second time costs
nothing, in any of the processes that share a run. That is right since the same question has the same answer,
which the tests that take ``engine_afresh`` hold the engine to. The reader's own tests take ``read_afresh``.
"""

import fcntl
import hashlib
import importlib
import io
import os
import pickle
import time
from contextlib import contextmanager

import pytest

from sequencer.engine.conversation import Conversation
from sequencer.engine.conversation import ask as ask_anew
from sequencer.engine.crew import CrewLimits
from sequencer.engine.crew import schedule as schedule_anew
from sequencer.engine.memory import Memory
from sequencer.engine.problem import Limits, Status

READING = importlib.import_module("sequencer.machine.reading")
SOLVE = importlib.import_module("sequencer.engine.solve")
CREW = importlib.import_module("sequencer.plan.crew.crew")
"""The modules through which the house asks; the packages have functions of these names."""

READ_ANEW = READING._read

FOR_GOOD = (Status.PROVEN, Status.IMPOSSIBLE)

LONG = 0.05
"""Answers that took more seconds than this are shared with the run's other processes."""

TEXTS = 500
"""Machine files of which each process remembers what was read, the latest."""


class Remembered:
    """Answers by question, with the seconds that they took, here and in the folder of the run."""

    def __init__(self, folder):
        self.folder = folder
        self.here = {}

    def get(self, key):
        if key not in self.here and (there := self._file(key)).exists():
            self.here[key] = pickle.loads(there.read_bytes())
        return self.here.get(key)

    def keep(self, key, answer, took):
        self.here[key] = (answer, took)
        if took > LONG:
            new = self.folder / f"{os.getpid()}.new"
            new.write_bytes(pickle.dumps(self.here[key]))
            new.replace(self._file(key))

    def _file(self, key):
        return self.folder / hashlib.sha256(repr(key).encode()).hexdigest()

    @contextmanager
    def only_here(self, key):
        """While one process solves it the others wait, for less than it would take them; some others, too."""
        with (self.folder / f"{self._file(key).name[:3]}.lock").open("w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            yield

    def ask(self, problem, limits=None, progress=None, warm=None):
        """As the engine's ``ask``. Whoever watches the progress, and whoever has less room, asks anew."""
        limits = limits or Limits()
        key = (problem, limits.gap, limits.memory_states, None if warm is None else tuple(warm))
        if progress is not None:
            return self._solved(problem, limits, progress, warm, key)
        if known := self._under(limits, key):
            return Conversation(problem, known, Memory())
        with self.only_here(key):
            if known := self._under(limits, key):
                return Conversation(problem, known, Memory())
            return self._solved(problem, limits, None, warm, key)

    def _solved(self, problem, limits, progress, warm, key):
        began = time.monotonic()
        asked = ask_anew(problem, limits, progress, warm)
        took = time.monotonic() - began
        if asked.result.status in FOR_GOOD:
            self.keep(key, asked.result, took)
        elif progress is None and stopped_by_work(asked.result, limits):
            self.keep((*key, limits.states), asked.result, took)
        return asked

    def _under(self, limits, key):
        """An answer for good that took less than these limits, or one that as many states stopped."""
        known = self.get(key)
        if known is None or (limits.states is not None and known[0].counters.states >= limits.states):
            known = self.get((*key, limits.states))
        in_time = known is not None and (limits.seconds is None or known[1] < limits.seconds / 2)
        return known[0] if in_time else None

    def schedule(self, problem, order=None, limits=None, progress=None):
        """As the engine's ``schedule``; where a clock may cut it short, or someone watches, it works anew."""
        limits = limits or CrewLimits()
        if progress is not None or limits.seconds is not None:
            return schedule_anew(problem, order, limits, progress)
        key = (problem, None if order is None else tuple(order), limits)
        if known := self.get(key):
            return known[0]
        began = time.monotonic()
        found = schedule_anew(problem, order, limits)
        if not found.interrupted:
            self.keep(key, found, time.monotonic() - began)
        return found


def stopped_by_work(result, limits):
    """No clock has stopped it: it would be the same another time."""
    return limits.seconds is None and (limits.states is None or result.counters.states >= limits.states)


class Readings:
    """What was read of a machine's text; given again under the name that its file has the next time."""

    def __init__(self, read):
        self.read_anew = read
        self.known = {}

    def read(self, text, name, faults, folder):
        """As the reader's own ``_read``; what a file includes may change, so that one is read anew."""
        if faults.sorted() or "include" in text:
            return self.read_anew(text, name, faults, folder)
        known = self.known.pop(text, None)
        if known is None:
            known = name, self.read_anew(text, name, faults, folder)
            if len(self.known) >= TEXTS:
                del self.known[next(iter(self.known))]
        self.known[text] = known
        return known[1] if known[0] == name else renamed(known[1], known[0], name)


def renamed(reading, old, new):
    """A copy in which every place is in the file ``new``."""

    class Packer(pickle.Pickler):
        def persistent_id(self, one):
            return "name" if one is old else None

    class Unpacker(pickle.Unpickler):
        def persistent_load(self, _):
            return new

    packed = io.BytesIO()
    Packer(packed, pickle.HIGHEST_PROTOCOL).dump(reading)
    packed.seek(0)
    return Unpacker(packed).load()


def of_the_run(tmp_path_factory):
    """The folder that the processes of a run have together."""
    own = tmp_path_factory.getbasetemp()
    return own.parent if "PYTEST_XDIST_WORKER" in os.environ else own


@pytest.fixture(scope="session", autouse=True)
def _engine_remembers(tmp_path_factory):
    folder = of_the_run(tmp_path_factory) / "answers"
    folder.mkdir(exist_ok=True)
    remembered = Remembered(folder)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(SOLVE, "ask", remembered.ask)
        patch.setattr(CREW, "schedule", remembered.schedule)
        patch.setattr(READING, "_read", Readings(READ_ANEW).read)
        yield


@pytest.fixture
def engine_afresh(monkeypatch):
    """Each question is solved, however often it is asked."""
    monkeypatch.setattr(SOLVE, "ask", ask_anew)
    monkeypatch.setattr(CREW, "schedule", schedule_anew)


@pytest.fixture
def read_afresh(monkeypatch):
    """Each machine file is read, however often."""
    monkeypatch.setattr(READING, "_read", READ_ANEW)
