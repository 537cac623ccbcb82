"""A roster's files as they come, in a folder or packed into one file, and as they go."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from io import BytesIO
from pathlib import Path, PurePosixPath
from zipfile import BadZipFile, ZipFile, ZipInfo

from mentor_training.errors import Refused
from mentor_training.roster.form import ALL_FILES

MOST_UNPACKED = 100_000_000
NAMES = ("manifest", *ALL_FILES)


def from_folder(folder: Path) -> dict[str, str]:
    """Return the text of each file of a roster in a folder."""
    return {name: _text(name, path.read_bytes()) for name in NAMES if (path := folder / f"{name}.csv").is_file()}


def from_packed(content: bytes) -> dict[str, str]:
    """Return the text of each file of a roster that is packed as one (ZIP); what is not a roster's is left alone."""
    try:
        with ZipFile(BytesIO(content)) as packed:
            parts = [part for part in packed.infolist() if _name(part) in NAMES]
            if sum(part.file_size for part in parts) > MOST_UNPACKED:
                raise Refused(
                    "Unpacked, these files are over 100 MB; give them to the command `roster import` instead."
                )
            return {_name(part): _text(_name(part), packed.read(part)) for part in parts}
    except (BadZipFile, NotImplementedError, RuntimeError, OSError) as error:
        raise Refused(f"This cannot be unpacked ({error}); pack the CSV files of the roster as a ZIP.") from None


def packed(texts: Mapping[str, str]) -> bytes:
    """Pack files into one, the same bytes for the same texts."""
    out = BytesIO()
    with ZipFile(out, "w") as target:
        for name, text in texts.items():
            target.writestr(ZipInfo(f"{name}.csv", (1980, 1, 1, 0, 0, 0)), text.encode("utf-8"))
    return out.getvalue()


def write_into(folder: Path, texts: Mapping[str, str]) -> Iterator[Path]:
    """Write files into a folder and yield each path once it is there."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in texts.items():
        path = folder / f"{name}.csv"
        path.write_bytes(text.encode("utf-8"))
        yield path


def _name(part: ZipInfo) -> str:
    path = PurePosixPath(part.filename)
    return path.stem if path.suffix == ".csv" else ""


def _text(name: str, content: bytes) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise Refused(f"{name}.csv is not UTF-8 (byte {error.start}); save it as CSV UTF-8.") from None
