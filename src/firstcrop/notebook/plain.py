"""The notebook as plain files, and back: one folder a run; docs/notebook.md describes them.

`run.json`, `sheet.md`, `forecast.json`, `entries.csv` and the pictures. The chain is checked on the
way in: a run that was changed outside the notebook is refused, whole.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import zipfile
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import asdict, fields
from pathlib import Path
from typing import Any

from sqlalchemy import insert, update
from sqlalchemy.exc import IntegrityError

from firstcrop.notebook.book import find_photo, find_run, keep_photo, runs
from firstcrop.notebook.chain import chained
from firstcrop.notebook.records import Entry, Kind, Photo, Reading, Run
from firstcrop.notebook.tables import ENTRY, RUN
from firstcrop.problems import Problem
from firstcrop.store.engine import Store

VERSION = 1
LINKS = ("number", "received", "previous", "digest")
COLUMNS = (*LINKS, *(f.name for f in fields(Reading)))
ENDINGS = (("image/jpeg", "jpg"), ("image/png", "png"), ("image/webp", "webp"))
LARGEST_MEMBER = 64_000_000  # bytes of one unpacked file
Files = dict[str, bytes]


def run_files(store: Store, run_id: str) -> Files | Problem:
    """The files of one run, by path inside its folder."""
    found = find_run(store, run_id)
    if isinstance(found, Problem):
        return found
    run, entries = found
    about = {k: v for k, v in asdict(run).items() if k not in ("sheet", "forecast")}
    files = {
        "run.json": _json({"format": "firstcrop run", "version": VERSION, **about}),
        "sheet.md": run.sheet.encode(),
        "forecast.json": run.forecast.encode(),
        "entries.csv": _csv(entries),
    }
    for digest in sorted({e.reading.photo for e in entries if e.reading.photo}):
        photo = find_photo(store, digest)
        if isinstance(photo, Photo):
            files[f"photos/{digest}.{dict(ENDINGS)[photo.media_type]}"] = photo.content
    return files


def export_zip(store: Store, target: Path) -> int | Problem:
    """Write every run into one zip, beside its place and then moved there; the number of runs."""
    count, half = 0, target.with_name(target.name + ".part")
    try:
        with zipfile.ZipFile(half, "w", zipfile.ZIP_DEFLATED) as archive:
            for run in runs(store):
                files = run_files(store, run.id)
                if isinstance(files, Problem):
                    return files
                for name, content in files.items():
                    archive.writestr(f"{run.id}/{name}", content)
                count += 1
        half.replace(target)
    except OSError as error:
        return Problem("notebook.file.unwritable", f"{target.name}: {error.strerror or error}")
    return count


def import_zip(store: Store, source: Path) -> int | Problem:
    """Take the runs of a zip in; those there already are left; the number taken, or why none."""
    try:
        with zipfile.ZipFile(source) as archive:
            folders = list(_folders(archive))
    except (OSError, zipfile.BadZipFile) as error:
        return Problem("notebook.file.unreadable", f"{source.name} cannot be read: {error}")
    read = [run_of_files(files) for files in folders]
    wrong = next((r for r in read if isinstance(r, Problem)), None)
    if wrong:
        return wrong
    taken = 0
    for found in read:
        assert not isinstance(found, Problem)
        done = _take(store, *found)
        if isinstance(done, Problem):
            return done
        taken += done
    return taken


def _folders(archive: zipfile.ZipFile) -> Iterator[Files]:
    names = [n for n in archive.infolist() if not n.is_dir() and n.file_size <= LARGEST_MEMBER]
    for folder in sorted({n.filename.split("/")[0] for n in names}):
        inside = [n for n in names if n.filename.startswith(f"{folder}/")]
        yield {n.filename.removeprefix(f"{folder}/"): archive.read(n) for n in inside}


def run_of_files(files: Files) -> tuple[Run, tuple[Entry, ...], tuple[Photo, ...]] | Problem:
    """A run as `run_files` wrote it; a Problem when a file is missing, unreadable or changed."""
    try:
        about: dict[str, Any] = json.loads(files["run.json"])
        if about.pop("format") != "firstcrop run" or about.pop("version") != VERSION:
            return _unreadable("it is not a run this firstcrop can read")
        about["sheet"] = files["sheet.md"].decode()
        run = Run(**about, forecast=files["forecast.json"].decode())
        rows = csv.DictReader(io.StringIO(files["entries.csv"].decode(), newline=""))
        entries = tuple(_entry(row) for row in rows)
    except KeyError as error:
        return _unreadable(f"{error.args[0]} is missing")
    except (ValueError, TypeError) as error:
        return _unreadable(str(error))
    photos = tuple(_photos(files))
    return chained(run, entries) or (run, entries, photos)


def _unreadable(why: str) -> Problem:
    return Problem("notebook.file.unreadable", f"a run could not be read: {why}")


def _photos(files: Files) -> Iterator[Photo]:
    media = {ending: kind for kind, ending in ENDINGS}
    for name, content in files.items():
        ending = name.rpartition(".")[2]
        if name.startswith("photos/") and ending in media:
            yield Photo(hashlib.sha256(content).hexdigest(), media[ending], content)


def _take(
    store: Store, run: Run, entries: tuple[Entry, ...], photos: tuple[Photo, ...]
) -> int | Problem:
    there = find_run(store, run.id)
    kept: tuple[Entry, ...] = () if isinstance(there, Problem) else there[1]
    if kept != entries[: len(kept)]:
        if kept[: len(entries)] == entries:
            return 0  # the store knows more
        return Problem("notebook.run.other", f"run {run.id} went on differently in this notebook")
    if isinstance(there, tuple) and len(kept) == len(entries):
        return 0
    for photo in photos:
        keep_photo(store, photo.media_type, photo.content)
    with suppress(IntegrityError), store.writing() as connection:
        if isinstance(there, Problem):
            connection.execute(insert(RUN).values(**asdict(run)))
        for entry in entries[len(kept) :]:
            links = {name: getattr(entry, name) for name in LINKS}
            connection.execute(
                insert(ENTRY).values(run_id=run.id, **links, **asdict(entry.reading))
            )
        connection.execute(
            update(RUN).where(RUN.c.id == run.id).values(entries=run.entries, head=run.head)
        )
        return 1
    return Problem("notebook.run.other", f"run {run.id} was written to at the same time; try again")


def _json(content: dict[str, Any]) -> bytes:
    return (json.dumps(content, ensure_ascii=False, indent=1) + "\n").encode()


def _csv(entries: tuple[Entry, ...]) -> bytes:
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\r\n")
    writer.writeheader()
    for entry in entries:
        links = {name: getattr(entry, name) for name in LINKS}
        value = "" if entry.reading.value is None else repr(entry.reading.value)
        writer.writerow(links | asdict(entry.reading) | {"value": value})
    return out.getvalue().encode()


def _entry(row: dict[str, str]) -> Entry:
    reading = Reading(
        **{n: row[n] for n in ("key", "at", "who", "unit", "text", "reason", "photo")},
        kind=Kind(row["kind"]),
        step=int(row["step"]),
        corrects=int(row["corrects"]),
        value=float(row["value"]) if row["value"] else None,
    )
    return Entry(int(row["number"]), reading, row["received"], row["previous"], row["digest"])
