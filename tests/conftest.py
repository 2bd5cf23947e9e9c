"""How the tests run: in parallel by file, with the settings of their profile, and asking nothing twice."""

import os
import sys
from pathlib import Path

import pytest
from hypothesis import settings

from tests.support.profile import PROFILE
from tests.support.remembered import _engine_remembers, engine_afresh, read_afresh  # noqa: F401 - fixtures

# What Python compiles is kept, also where it is told to keep nothing: each process that the tests start would
# compile the whole package again, and each worker all of the tests.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

# Before a landing the same cases each time: nobody meets another's fault; `nightly` looks for new ones.
settings.register_profile("quick", deadline=None, derandomize=True, max_examples=30)
settings.register_profile("landing", deadline=None, derandomize=True)
settings.register_profile("nightly", deadline=None, print_blob=True)
settings.load_profile(PROFILE)


LONGEST = (
    "bench/test_page.py", "job/test_every_act.py", "test_docs.py", "bench/test_api.py",
    "cli/test_every_output.py", "job/test_every_state.py", "cli/test_paper_commands.py",
    "views/test_glyphs.py", "cli/test_process.py", "views/test_tags.py", "cli/test_job_discoveries.py",
    "plan/test_crew.py", "job/test_journal.py", "plan/test_prices.py", "job/test_machine_copy.py",
    "bench/test_csrf.py", "bench/test_queue_refusals.py",
)  # fmt: skip
"""The files that take longest, first of all: else one process ends long after the others."""


def pytest_collection_modifyitems(items):
    tests = Path(__file__).parent
    places = {tests / name: place for place, name in enumerate(LONGEST)}
    items.sort(key=lambda item: places.get(item.path, len(LONGEST)))


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers(config):
    """One file needs no workers: it is there sooner without, and `breakpoint()` works."""
    files = {argument.partition("::")[0] for argument in config.args}
    return 0 if len(files) == 1 and files.pop().endswith(".py") else None
