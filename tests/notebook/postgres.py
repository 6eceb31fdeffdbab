"""A real PostgreSQL server of Debian's package, started and stopped by the tests themselves."""

from __future__ import annotations

import contextlib
import os
import pwd
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

__all__ = ["Server", "find_binaries", "started"]


def find_binaries() -> Path | None:
    """Return the folder of initdb and postgres, None where the package is missing."""
    folders = sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
    return next((f for f in folders if (f / "initdb").exists()), None)


class Server:
    """A running server.

    Attributes
    ----------
    url : str
        Of its maintenance database.
    """

    def __init__(self, binaries: Path, folder: Path, port: int) -> None:
        self._binaries, self._folder, self._port = binaries, folder, port
        self._process: subprocess.Popen[bytes] | None = None

    @property
    def url(self) -> str:
        return self.database("postgres")

    def database(self, name: str) -> str:
        return f"postgresql://zincite@127.0.0.1:{self._port}/{name}"

    def create(self, name: str, *, template: str = "template1") -> str:
        """Make a database anew, empty or as a copy of another one, and return its URL."""
        import psycopg

        with psycopg.connect(self.url, autocommit=True) as connection:
            connection.execute(f'DROP DATABASE IF EXISTS "{name}"')
            connection.execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
        return self.database(name)

    def start(self) -> None:
        command = [
            str(self._binaries / "postgres"), "-D", str(self._folder / "data"),
            "-p", str(self._port), "-h", "127.0.0.1", "-k", str(self._folder),
            "-c", "max_connections=80", "-c", "logging_collector=off",
            # a killed process loses nothing without it, only a power cut would
            "-c", "fsync=off",
        ]  # fmt: skip
        with (self._folder / "log").open("ab") as log:
            self._process = subprocess.Popen(command, stdout=log, stderr=log, **_as_nobody())
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline:
            with contextlib.suppress(Exception):
                import psycopg

                psycopg.connect(self.url, connect_timeout=2).close()
                return
            if self._process.poll() is not None:
                break
            time.sleep(0.1)
        raise RuntimeError((self._folder / "log").read_text("utf-8", "replace"))

    def kill(self) -> None:
        """End the server and all its processes at once, as a power cut would."""
        assert self._process is not None
        pid = self._process.pid
        children = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
        for one in (pid, *map(int, children)):
            with contextlib.suppress(ProcessLookupError):
                os.kill(one, signal.SIGKILL)
        self._process.wait(60)

    def stop(self, how: signal.Signals = signal.SIGINT) -> None:
        if self._process is not None and self._process.poll() is None:
            self._process.send_signal(how)
            self._process.wait(60)


def _as_nobody() -> dict[str, object]:
    """PostgreSQL refuses root: as root its own user is taken."""
    if os.geteuid() != 0:
        return {}
    entry = pwd.getpwnam("postgres")
    return {"user": entry.pw_uid, "group": entry.pw_gid, "extra_groups": [], "cwd": "/"}


def _free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


@contextlib.contextmanager
def started() -> Iterator[Server]:
    """Give a server of its own; all of it is gone afterwards."""
    binaries = find_binaries()
    if binaries is None:
        raise RuntimeError("PostgreSQL is not installed: apt-get install postgresql")
    folder = Path(tempfile.mkdtemp(prefix="zincite-pg-"))
    try:
        if os.geteuid() == 0:
            entry = pwd.getpwnam("postgres")
            os.chown(folder, entry.pw_uid, entry.pw_gid)
        subprocess.run(
            [
                str(binaries / "initdb"), "-D", str(folder / "data"), "-U", "zincite",
                "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8",
            ],
            check=True, capture_output=True, **_as_nobody(),
        )  # fmt: skip
        server = Server(binaries, folder, _free_port())
        server.start()
        try:
            yield server
        finally:
            server.stop()
    finally:
        shutil.rmtree(folder, ignore_errors=True)
