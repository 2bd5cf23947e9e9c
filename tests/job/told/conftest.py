"""A desk at a job without a file."""

import pytest

from tests.job.told.at_a_bare_job import desk_at


@pytest.fixture
def desk(tmp_path):
    opened = desk_at(tmp_path / "job")
    yield opened
    opened.close()
