"""Reading print files: plain or compiled by their length, with progress and cancelling."""

import pytest
from tests.core.estimating.print_files import tower

from printcrib.core.errors import ShopError
from printcrib.core.estimating.settings import typical_settings
from printcrib.services import read_print_file as service
from printcrib.services.read_print_file import read_print_file

SETTINGS = typical_settings(400)


def test_long_and_short_files_are_read_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    content, told = tower(4), list[float]()
    plain = read_print_file(content, "ring.nc", SETTINGS, told.append)
    monkeypatch.setattr(service, "PLAIN_BYTES", 100)
    compiled = read_print_file(content, "ring.nc", SETTINGS, told.append, lambda: False)
    assert compiled.minutes == pytest.approx(plain.minutes, rel=1e-9)
    assert compiled.layers == plain.layers == 4
    assert told[-1] == 1.0


def test_cancelling_ends_the_reading() -> None:
    with pytest.raises(ShopError, match="was not read to its end"):
        read_print_file(tower(1), "ring.nc", SETTINGS, cancelled=lambda: True)


def test_nobody_need_be_told() -> None:
    assert read_print_file(b"G1 X5 F600", "ring.nc", SETTINGS).moves == 1


def test_too_little_memory_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object, **__: object) -> None:
        raise MemoryError

    monkeypatch.setattr(service, "read_moves", full)
    with pytest.raises(ShopError, match="needs more memory than there is"):
        read_print_file(b"G1 X5 F600", "ring.nc", SETTINGS)
