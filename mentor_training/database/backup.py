"""One file that holds an instance whole, made while it is in use; and an instance made from it again."""

from __future__ import annotations

import gzip
import hashlib
import io
import json
import os
import shutil
import sqlite3
import tarfile
import tempfile
import tomllib
import zlib
from collections.abc import Iterator, Mapping
from contextlib import closing
from pathlib import Path, PurePosixPath
from typing import Any

from sqlalchemy import URL

from mentor_training.database.instance import Instance
from mentor_training.database.schema import current_revision
from mentor_training.database.session import Database
from mentor_training.errors import Refused
from mentor_training.settings import Settings

FORM = 1
ABOUT, DATABASE, SETTINGS = "backup.json", "data/mentor-training.db", "settings.toml"
FOLDERS = ("program", "modules", "quizzes")


def make_backup(instance: Instance, file: Path) -> int:
    """Write an instance into one compressed archive, readable by its owner only; return how many files it holds.

    The database is copied by SQLite's own online backup, so that nobody has to stop working. Nothing is overwritten,
    and a backup that breaks off leaves no file behind.
    """
    if file.exists():
        raise Refused(f"{file} is there already; name a new file, so that no backup is lost.")
    if instance.database.engine.dialect.name != "sqlite":
        raise Refused(*how_to_dump(instance))
    unfinished = file.with_name(file.name + ".unfinished")
    try:
        with tempfile.TemporaryDirectory(prefix="mentor-training-") as folder:
            copy = Path(folder) / "copy.db"
            copy_database(instance.database, copy)
            files = dict(_contents(instance, copy))
            _write_archive(unfinished, files)
        unfinished.replace(file)
    except OSError as error:
        raise Refused(f"{file} cannot be written: {error.strerror or error}.") from None
    finally:
        unfinished.unlink(missing_ok=True)
    return len(files)


def how_to_dump(instance: Instance) -> tuple[str, ...]:
    """Say which of PostgreSQL's own commands makes the backup of its database, and what else belongs to it."""
    url = instance.database.engine.url
    plain = URL.create("postgresql", url.username, None, url.host, url.port, url.database, url.query)
    return (
        "This instance keeps its data in PostgreSQL, which has its own tool for a consistent copy. Run",
        f"  pg_dump --format=custom --file=mentor-training.dump '{plain.render_as_string()}'",
        "(the password comes from ~/.pgpass or PGPASSWORD; pg_restore brings it back), and keep with it the folder",
        f"  {instance.settings.folder}",
        "where the settings, the keys and the program files are; leave out `scans` and `class-files`: kept a while.",
    )


def copy_database(database: Database, target: Path) -> None:
    """Copy a SQLite database in use into one file of its own, and check the copy."""
    connection: Any = database.engine.raw_connection()
    try:
        with closing(sqlite3.connect(target)) as copy:
            connection.driver_connection.backup(copy)
            copy.execute("PRAGMA journal_mode=DELETE")
            found = copy.execute("PRAGMA integrity_check").fetchall()
    finally:
        connection.close()
    if found != [("ok",)]:
        raise Refused(f"The database is damaged ({found[0][0]}); no backup was made. Restore an earlier one.")


def _contents(instance: Instance, copy: Path) -> Iterator[tuple[str, bytes]]:
    data = copy.read_bytes()
    yield ABOUT, _about(instance, data)
    yield SETTINGS, settings_for_one_folder(instance.settings).encode()
    yield DATABASE, data
    told = instance.settings.folder / "demo.json"
    if told.is_file():
        yield "demo.json", told.read_bytes()
    yield from _files_below(instance.settings.folder / "keys", "keys")
    for name in FOLDERS:
        folder: Path = getattr(instance.settings, name)
        yield from _files_below(folder, _place_of(folder, instance.settings, name))


def _about(instance: Instance, data: bytes) -> bytes:
    about = {
        "form": FORM,
        "title": instance.settings.title,
        "made": instance.now().isoformat(timespec="seconds"),
        "revision": current_revision(instance.database),
        "database_sha256": hashlib.sha256(data).hexdigest(),
    }
    return json.dumps(about, indent=1, ensure_ascii=False).encode()


def _files_below(folder: Path, place: str) -> Iterator[tuple[str, bytes]]:
    for path in sorted(folder.rglob("*")):
        if path.is_file():
            yield f"{place}/{path.relative_to(folder).as_posix()}", path.read_bytes()


def _place_of(folder: Path, settings: Settings, name: str) -> str:
    """Return where a folder stands in the archive: as in the instance, or under its own name if it lies outside."""
    inside = folder.resolve().is_relative_to(settings.folder.resolve())
    return folder.resolve().relative_to(settings.folder.resolve()).as_posix() if inside else name


def settings_for_one_folder(settings: Settings) -> str:
    """Return settings.toml as it must be where everything lies in one folder: as it is, wherever that will do."""
    text = (settings.folder / SETTINGS).read_text(encoding="utf-8")
    table: dict[str, Any] = tomllib.loads(text)
    folders = table.get("folders", {})
    moved = {name: _place_of(getattr(settings, name), settings, name) for name in FOLDERS}
    changed = table.pop("database", None) is not None
    for name, place in moved.items():
        if (settings.folder / place).resolve() != getattr(settings, name).resolve():
            table.setdefault("folders", folders)[name] = place
            changed = True
    return _as_toml(table) if changed else text


def _as_toml(table: Mapping[str, Any]) -> str:
    """Write settings, which are texts and whole numbers at the top and in tables one level below."""
    plain = [f"{key} = {_value(value)}" for key, value in table.items() if not isinstance(value, dict)]
    for name, part in table.items():
        if isinstance(part, dict):
            plain += ["", f"[{name}]", *(f"{key} = {_value(value)}" for key, value in part.items())]
    return "\n".join(plain) + "\n"


def _value(value: str | int) -> str:
    # A JSON string is a TOML basic string, apart from the one control character that JSON leaves bare.
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007F")


def _write_archive(file: Path, files: Mapping[str, bytes]) -> None:
    handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "wb") as raw:
        with tarfile.open(fileobj=raw, mode="w:gz") as archive:
            for name, data in files.items():
                entry = tarfile.TarInfo(name)
                entry.size, entry.mode = len(data), 0o600
                archive.addfile(entry, io.BytesIO(data))
        raw.flush()
        os.fsync(raw.fileno())


def restore(file: Path, folder: Path) -> None:
    """Make an instance from a backup in a folder that is new or empty: whole, or not at all."""
    if os.environ.get("MENTOR_TRAINING_DATABASE"):
        raise Refused(
            "MENTOR_TRAINING_DATABASE is set, and would win over the database in the backup; unset it, then restore."
        )
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise Refused(f"{folder} is not empty; name a new folder, so that nothing is overwritten.")
    files = read_archive(file)
    folder.absolute().parent.mkdir(parents=True, exist_ok=True)
    unfinished = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.absolute().parent))
    try:
        for name, data in files.items():
            _put(unfinished / name, data, private=name.startswith("keys/"))
        unfinished.replace(folder)
    finally:
        shutil.rmtree(unfinished, ignore_errors=True)


def _put(path: Path, data: bytes, private: bool) -> None:
    path.parent.mkdir(mode=0o700 if private else 0o755, parents=True, exist_ok=True)
    path.touch(mode=0o600 if private else 0o644)
    path.write_bytes(data)


def read_archive(file: Path) -> dict[str, bytes]:
    """Return the files of a backup by name, or refuse what is none, is damaged, or reaches out of its folder."""
    try:
        # Unpacked to its very end first: only there stands the check sum that tells whether all of it arrived.
        with gzip.open(file) as packed, tarfile.open(fileobj=io.BytesIO(packed.read())) as archive:
            files = dict(_members(archive))
    except (tarfile.TarError, OSError, EOFError, zlib.error) as error:
        raise Refused(f"{file} cannot be read as a backup ({error}); nothing was restored.") from None
    missing = [name for name in (ABOUT, SETTINGS, DATABASE) if name not in files]
    if missing:
        raise Refused(f"{file} is no backup of an instance: it has no {', '.join(missing)}. Nothing was restored.")
    about = _read_about(file, files.pop(ABOUT))
    if about.get("form") != FORM:
        raise Refused(f"{file} is a backup of form {about.get('form')}; this program reads form {FORM}.")
    if hashlib.sha256(files[DATABASE]).hexdigest() != about.get("database_sha256"):
        raise Refused(f"{file} is damaged: the database in it is not the one that was backed up. Nothing was restored.")
    return files


def _read_about(file: Path, data: bytes) -> dict[str, Any]:
    try:
        about = json.loads(data)
    except ValueError:
        about = None
    if not isinstance(about, dict):
        raise Refused(f"{file} is no backup of an instance: what it says about itself cannot be read.")
    return about


def _members(archive: tarfile.TarFile) -> Iterator[tuple[str, bytes]]:
    for entry in archive:
        path = PurePosixPath(entry.name)
        content = archive.extractfile(entry) if entry.isfile() else None
        if content is None or path.is_absolute() or ".." in path.parts:
            raise Refused(f"It holds {entry.name!r}, which no backup does; nothing was restored.")
        yield entry.name, content.read()
