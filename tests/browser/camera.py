"""A camera of the tests: a moving picture made from a code, shown by Chromium in place of a real one."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import segno
from PIL import Image
from playwright.sync_api import Browser, BrowserType

WIDTH, HEIGHT = 640, 480


def picture_of(address: str, folder: Path) -> Path:
    """Write a moving picture (MJPEG) of a code held a little crooked before a gray wall, as a name tag bears it."""
    out = io.BytesIO()
    segno.make_qr(address, error="m").save(out, kind="png", border=4, scale=6)
    frame = Image.new("RGB", (WIDTH, HEIGHT), (120, 118, 110))
    code = Image.open(out).convert("RGB").rotate(7, expand=True, fillcolor=(235, 232, 224))
    frame.paste(code, ((WIDTH - code.width) // 2, (HEIGHT - code.height) // 2))
    out = io.BytesIO()
    frame.save(out, format="JPEG", quality=70)
    path = folder / "camera.mjpeg"
    path.write_bytes(out.getvalue() * 10)
    return path


@contextmanager
def browser_with(browser_type: BrowserType, launch_args: dict[str, Any], *more: str) -> Iterator[Browser]:
    """Start a browser of its own with some arguments more."""
    browser = browser_type.launch(**{**launch_args, "args": [*launch_args["args"], *more]})
    try:
        yield browser
    finally:
        browser.close()


def camera_showing(path: Path) -> tuple[str, ...]:
    """Return the arguments of a browser whose camera shows a moving picture, and may be used."""
    return (
        "--use-fake-ui-for-media-stream",
        "--use-fake-device-for-media-stream",
        f"--use-file-for-fake-video-capture={path}",
    )
