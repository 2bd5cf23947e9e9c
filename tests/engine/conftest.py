"""The engine's own tests get nothing that is remembered."""

import pytest


@pytest.fixture(autouse=True)
def _afresh(engine_afresh):
    pass
