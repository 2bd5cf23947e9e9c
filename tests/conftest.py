"""How the tests run: in parallel by file, with the settings of their profile, and asking nothing twice."""

import gc
import os
import sys
from contextlib import suppress
from importlib import import_module
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis.internal.conjecture import providers

from tests.support.profile import PROFILE, waits
from tests.support.remembered import _engine_remembers, engine_afresh, read_afresh  # noqa: F401 - fixtures
from tests.support.tries_more import every_other, tries_more

# What Python compiles is kept, also where it is told to keep nothing: each process that the tests start would
# compile the whole package again, and each worker all of the tests.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

# While the tests are being found nothing of them is rubbish: it is not looked for.
gc.disable()

# Before a landing the same cases each time: nobody meets another's fault; `nightly` looks for new ones.
settings.register_profile("quick", deadline=None, derandomize=True, max_examples=9)
settings.register_profile("landing", deadline=None, derandomize=True, max_examples=20)
settings.register_profile("nightly", deadline=None, print_blob=True)
settings.load_profile(PROFILE)
if PROFILE != "nightly":
    # Constants of the package as inputs are for the night: to look for them in all of its files takes each
    # worker seconds before its first test.
    providers._get_local_constants = lambda: providers._local_constants


LONGEST = (
    "bench/test_page.py", "views/test_sheet.py", "test_docs.py", "cli/test_paper_commands.py",
    "job/test_journal.py", "cli/test_process.py", "test_recipes.py", "bench/test_api.py",
    "plan/test_looks.py", "cli/test_every_output.py", "job/test_telling.py",
    "engine/crew/test_schedule.py", "bench/test_no_path.py", "bench/test_csrf.py", "test_doors.py",
    "plan/test_prices.py", "job/told/test_writing.py", "job/test_workable.py",
    "job/test_open_figures.py", "job/test_turn.py", "views/test_tags.py", "plan/test_walks.py",
    "job/test_machine_copy.py", "job/test_every_act.py", "bench/test_telling.py",
    "bench/test_queue_refusals.py", "plan/test_crew.py", "test_rooms.py",
    "machine/test_mutations.py", "plan/evenings/test_exact.py", "plan/trade/test_trade.py",
)  # fmt: skip
"""The files that take longest, first of all: else one process ends long after the others."""


def pytest_collection(session):
    """Each worker reads its share of the files first: what one has compiled the others need not."""
    worker = os.environ.get("PYTEST_XDIST_WORKER")
    if worker is None or session.config.args != session.config.getini("testpaths"):
        return
    files = sorted(Path(__file__).parent.rglob("test_*.py"))
    for file in files[int(worker.removeprefix("gw")) :: int(os.environ["PYTEST_XDIST_WORKER_COUNT"])]:
        with suppress(Exception, pytest.skip.Exception):  # is told when the file's turn comes
            import_module(".".join(file.relative_to(Path(__file__).parents[1]).with_suffix("").parts))


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config, items):
    if "tries_more" in config.option.markexpr:
        trying = list(filter(tries_more, items))
        for item in every_other(trying) if PROFILE == "landing" else trying:
            item.add_marker("tries_more")
    # Left out here, not skipped: to set up and report a thousand tests that wait takes seconds.
    items[:] = [item for item in items if not any(waits(mark) for mark in item.iter_markers("skipif"))]
    tests = Path(__file__).parent
    places = {tests / name: place for place, name in enumerate(LONGEST)}
    items.sort(key=lambda item: places.get(item.path, len(LONGEST)))


def pytest_collection_finish():
    """What is there by now stays to the end: it is not looked through for rubbish time and again."""
    gc.collect()
    gc.freeze()
    gc.enable()
    gc.set_threshold(20_000, 20, 20)


@pytest.fixture(scope="session", autouse=True)
def _little_crew_work():
    """Commands look for a better schedule not as long as for people; those of the guide come out the same."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("sequencer.cli.before.crew.WORK", 0.1)
        yield


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers(config):
    """One file needs no workers: it is there sooner without, and `breakpoint()` works.

    All of them get one more than there are processors: some wait for a browser or another process.
    """
    files = {argument.partition("::")[0] for argument in config.args}
    alone = len(files) == 1 and files.pop().endswith(".py")
    return 0 if alone else (os.cpu_count() or 1) + 1
