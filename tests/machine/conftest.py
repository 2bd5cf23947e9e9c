"""The reader's own tests get nothing that is remembered."""

import pytest


@pytest.fixture(autouse=True)
def _afresh(read_afresh):
    pass
