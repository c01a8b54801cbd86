"""What the tests of the place Requests share."""

import pytest
from tests.screens.requests.shop import Stand, stand


@pytest.fixture
def desk() -> Stand:
    """A fresh shop in memory; Dora is the desk."""
    return stand()
