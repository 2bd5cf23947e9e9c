"""How the tests run: in parallel by file, with the settings of their profile, and asking nothing twice."""

import pytest
from hypothesis import settings

from tests.support.profile import PROFILE
from tests.support.remembered import _engine_remembers, engine_afresh  # noqa: F401 - fixtures

# `quick` tries the same cases each time, so that nobody meets another's fault; `nightly` looks for new ones.
settings.register_profile("quick", deadline=None, derandomize=True)
settings.register_profile("nightly", deadline=None, print_blob=True)
settings.load_profile(PROFILE)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers(config):
    """One file needs no workers: it is there sooner without, and `breakpoint()` works."""
    files = {argument.partition("::")[0] for argument in config.args}
    return 0 if len(files) == 1 and files.pop().endswith(".py") else None
