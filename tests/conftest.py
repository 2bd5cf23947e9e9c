"""How the tests run: in parallel by file, with the settings of their profile, and asking nothing twice."""

import sys
from pathlib import Path

import pytest
from hypothesis import settings

from tests.support.profile import PROFILE
from tests.support.remembered import _engine_remembers, engine_afresh, of_the_run  # noqa: F401 - fixtures

# `quick` tries the same cases each time, so that nobody meets another's fault; `nightly` looks for new ones.
settings.register_profile("quick", deadline=None, derandomize=True)
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


@pytest.fixture(scope="session", autouse=True)
def _compiled_once(tmp_path_factory):
    """The processes that tests start share what Python compiles, also where it is told to leave none."""
    if not sys.dont_write_bytecode:
        yield
        return
    with pytest.MonkeyPatch.context() as patch:
        patch.delenv("PYTHONDONTWRITEBYTECODE", raising=False)
        patch.setenv("PYTHONPYCACHEPREFIX", str(of_the_run(tmp_path_factory) / "compiled"))
        yield


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers(config):
    """One file needs no workers: it is there sooner without, and `breakpoint()` works."""
    files = {argument.partition("::")[0] for argument in config.args}
    return 0 if len(files) == 1 and files.pop().endswith(".py") else None
