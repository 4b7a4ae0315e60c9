"""A PostgreSQL of the tests' own: Debian's binaries, a temporary folder, a socket, no network."""

from __future__ import annotations

import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg


def binaries() -> Path | None:
    """The folder of initdb and postgres, the newest version Debian has installed."""
    found = [p.parent for p in Path("/usr/lib/postgresql").glob("*/bin/postgres")]
    on_path = shutil.which("postgres")
    found += [Path(on_path).resolve().parent] if on_path else []
    usable = [p for p in found if (p / "initdb").exists()]
    return max(usable, key=lambda p: [int(n) for n in p.parent.name.split(".") if n.isdigit()],
               default=None)  # fmt: skip


def owner() -> dict[str, object]:
    """How to run as somebody else: postgres will not run as root."""
    if os.getuid() != 0:
        return {}
    names = {entry.pw_name: entry for entry in pwd.getpwall()}
    user = names.get("postgres") or names["nobody"]
    return {"user": user.pw_uid, "group": user.pw_gid, "extra_groups": []}


@contextmanager
def running(bin_folder: Path) -> Iterator[str]:
    """A server while the block runs; yields the folder of its socket."""
    folder = Path(tempfile.mkdtemp(prefix="firstcrop-pg-"))
    who = owner()
    if who:
        os.chown(folder, who["user"], who["group"])
    data = folder / "data"
    try:
        subprocess.run(
            [bin_folder / "initdb", "-D", data, "-A", "trust", "-U", "postgres", "-E", "UTF8",
             "--no-sync", "--locale=C.UTF-8"],
            check=True, capture_output=True, cwd=folder, **who,
        )  # fmt: skip
        with (folder / "log").open("w") as log:
            server = subprocess.Popen(
                [bin_folder / "postgres", "-D", data, "-c", "listen_addresses=", "-c",
                 f"unix_socket_directories={folder}", "-c", "fsync=off"],
                stdout=log, stderr=log, cwd=folder, **who,
            )  # fmt: skip
            try:
                wait_for(folder, server)
                yield str(folder)
            finally:
                server.send_signal(signal.SIGINT)  # fast shutdown
                server.wait(timeout=30)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def wait_for(folder: Path, server: subprocess.Popen[bytes]) -> None:
    for _ in range(200):
        try:
            connect(str(folder)).close()
        except psycopg.OperationalError:
            assert server.poll() is None, (folder / "log").read_text()
            time.sleep(0.05)
        else:
            return
    raise AssertionError((folder / "log").read_text())


def connect(folder: str) -> psycopg.Connection:
    return psycopg.connect(host=folder, user="postgres", dbname="postgres", autocommit=True)


def new_database(folder: str, name: str) -> str:
    """An empty database and its URL."""
    with connect(folder) as connection:
        connection.execute(f'CREATE DATABASE "{name}"')
    return f"postgresql://postgres@/{name}?host={folder}"


def drop_database(folder: str, name: str) -> None:
    with connect(folder) as connection:
        connection.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')
