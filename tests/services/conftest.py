"""A shop in memory and the clock on its wall."""

import pytest
from tests.services.fake import FakeClock, fake_shop

from printcrib.services.interfaces import Shop


@pytest.fixture
def clock() -> FakeClock:
    """A clock that stands at 07:00 on a Tuesday until it is moved."""
    return FakeClock()


@pytest.fixture
def shop(clock: FakeClock) -> Shop:
    """An empty shop in memory."""
    return fake_shop(clock=clock)
