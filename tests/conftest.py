"""What every test shares: own user folders, no display needed, and a PostgreSQL to throw away."""

import gc
import os
import shutil
import tempfile
from collections.abc import Generator, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from tests.postgres_server import NoPostgres, fresh_database, server

_WITH_QT = {"app", "screens", "stories"}
NO_POSTGRES = "no PostgreSQL: "

# Before anything of Qt or Printcrib is imported: tests never read or write the person's own folders.
_user_folders = Path(tempfile.mkdtemp(prefix="printcrib-tests-"))
for _name in ("CONFIG_HOME", "DATA_HOME", "CACHE_HOME", "STATE_HOME", "RUNTIME_DIR", "DOCUMENTS_DIR"):
    _folder = _user_folders / _name.lower()
    _folder.mkdir(mode=0o700)
    os.environ[f"XDG_{_name}"] = str(_folder)
for _name in ("APPDATA", "LOCALAPPDATA"):
    os.environ[_name] = str(_user_folders / _name.lower())
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

# A slow machine is not a failure: no deadline for an example.
settings.register_profile("printcrib", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("printcrib")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(
    item: pytest.Item, nextitem: pytest.Item | None
) -> Generator[None, object, object]:
    """Collect garbage in the main thread alone while tests use Qt, as the window does.

    A collection in a reading thread may free a widget there, which ends the process.
    """
    if not _WITH_QT.intersection(item.path.parts):
        return (yield)
    gc.disable()
    try:
        return (yield)
    finally:
        gc.collect(1 if nextitem is not None and nextitem.path == item.path else 2)
        gc.enable()


def pytest_unconfigure() -> None:
    """Delete the user folders of this run."""
    shutil.rmtree(_user_folders, ignore_errors=True)


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[str]:
    """The URL of a running PostgreSQL; started when the first test asks, one for each test process."""
    with ExitStack() as stack:
        try:
            url = stack.enter_context(server())
        except NoPostgres as reason:
            pytest.skip(f"{NO_POSTGRES}{reason}")
        yield url


@pytest.fixture
def postgres_url(postgres_server: str) -> Iterator[str]:
    """The URL of an empty PostgreSQL database for this one test."""
    with fresh_database(postgres_server) as url:
        yield url


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say in one line when tests were left out because there is no PostgreSQL here."""
    left_out = [
        report.longrepr[2].split(NO_POSTGRES, 1)[1]
        for report in terminalreporter.getreports("skipped")
        if isinstance(report.longrepr, tuple) and NO_POSTGRES in report.longrepr[2]
    ]
    if left_out:
        terminalreporter.write_line(f"Skipped {len(left_out)} tests: {left_out[0]}.", yellow=True)
