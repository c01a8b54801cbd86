"""A PostgreSQL of the tests' own: made in a temporary folder, stopped and deleted at the end.

Nothing is sent to a server that somebody else uses, unless PRINTCRIB_TEST_POSTGRES_URL names one on purpose;
the tests then make and drop databases of their own there.
"""

import os
import shutil
import socket
import subprocess
import tempfile
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

OWNER = "postgres"  # the system user that Debian's packages make; PostgreSQL refuses to run as root


class NoPostgres(Exception):
    """Why there is no PostgreSQL to test with here."""


def binaries() -> Path:
    """The newest installed folder with initdb and pg_ctl."""
    on_path = shutil.which("initdb")
    if on_path and shutil.which("pg_ctl"):
        return Path(on_path).parent
    found = [path.parent for path in Path("/usr/lib/postgresql").glob("*/bin/initdb")]
    if not found:
        raise NoPostgres("PostgreSQL is not installed")
    return max(found, key=lambda path: float(path.parent.name))


def _as_owner() -> list[str]:
    if not hasattr(os, "getuid") or os.getuid() != 0:
        return []
    if not shutil.which("runuser"):
        raise NoPostgres("PostgreSQL does not run as root and runuser is missing")
    return ["runuser", "-u", OWNER, "--"]


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _run(command: list[str], folder: Path) -> None:
    quiet = subprocess.DEVNULL
    done = subprocess.run(command, cwd=folder, stdin=quiet, stdout=quiet, stderr=subprocess.PIPE, text=True)
    if done.returncode:
        raise RuntimeError(f"{' '.join(command)} failed: {done.stderr}")


@contextmanager
def throwaway_server() -> Iterator[str]:
    """Start a server, answer the SQLAlchemy URL of its database "postgres", stop it at the end."""
    programs, prefix = binaries(), _as_owner()
    folder = Path(tempfile.mkdtemp(prefix="printcrib-postgres-"))
    try:
        if prefix:
            shutil.chown(folder, OWNER)
        data, port = folder / "data", _free_port()
        plain = ["-U", "app", "-A", "trust", "-E", "UTF8", "--no-locale", "--no-sync"]
        _run([*prefix, str(programs / "initdb"), "-D", str(data), *plain], folder)
        control = [*prefix, str(programs / "pg_ctl"), "-w", "-D", str(data)]
        settings = {"listen_addresses": "127.0.0.1", "port": port, "fsync": "off", "max_connections": 200}
        if os.name != "nt":
            settings["unix_socket_directories"] = str(folder)
        options = " ".join(f"-c {name}={value}" for name, value in settings.items())
        _run([*control, "-l", str(folder / "log"), "-o", options, "start"], folder)
        try:
            yield f"postgresql+psycopg://app@127.0.0.1:{port}/postgres"
        finally:
            _run([*control, "-m", "immediate", "stop"], folder)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def server() -> Iterator[str]:
    """The server that PRINTCRIB_TEST_POSTGRES_URL names, else a throwaway one."""
    named = os.environ.get("PRINTCRIB_TEST_POSTGRES_URL")
    if named:
        yield named
        return
    with throwaway_server() as url:
        yield url


@contextmanager
def fresh_database(server_url: str) -> Iterator[str]:
    """An empty database on that server, dropped at the end whoever is still connected."""
    import psycopg
    from sqlalchemy import make_url

    url = make_url(server_url)
    name = f"printcrib_{uuid.uuid4().hex}"
    plain = url.set(drivername="postgresql").render_as_string(hide_password=False)
    with psycopg.connect(plain, autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}" TEMPLATE template0'.encode())
    try:
        yield url.set(database=name).render_as_string(hide_password=False)
    finally:
        with psycopg.connect(plain, autocommit=True) as connection:
            connection.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)'.encode())
