"""The program's typeface for files that must carry it within themselves, such as PDFs."""

from __future__ import annotations

import atexit
import base64
import re
import shutil
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

NAME = "Atkinson Hyperlegible Next"
FAMILY = '"Atkinson Hyperlegible Next", "Atkinson Hyperlegible Next Extended", sans-serif'
_STATIC = Path(__file__).parent / "static"
_FILE = re.compile(r'url\("(fonts/[a-z0-9-]+\.woff2)"\)')


@cache
def font_faces() -> str:
    """Return the style sheet's font faces with every font file inside as a `data:` address; set text in `FAMILY`."""
    return _FILE.sub(lambda file: f'url("{_as_data(_STATIC / file[1])}")', _sheet())


@cache
def truetype_file() -> Path:
    """Return the upright face as a TrueType file, for libraries that read no web fonts.

    Made once for each process, and gone when it ends.
    """
    from fontTools.ttLib import TTFont

    folder = mkdtemp(prefix="mentor-training-face-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    with TTFont(_STATIC / "fonts" / "atkinson-hyperlegible-next-latin-400-normal.woff2") as font:
        font.flavor = None
        font.save(Path(folder) / "face.ttf")
    return Path(folder) / "face.ttf"


def _sheet() -> str:
    return (_STATIC / "typeface.css").read_text(encoding="utf-8")


def _as_data(file: Path) -> str:
    return f"data:font/woff2;base64,{base64.b64encode(file.read_bytes()).decode('ascii')}"
