"""The contrast of two colors, and the colors that the style sheets give to each role."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from mentor_training import web

STATIC = Path(web.__file__).parent / "static"
_ROLE = re.compile(r"--([a-z-]+):\s*(#[0-9a-f]{3}(?:[0-9a-f]{3})?);")
_DARK = re.compile(r"@media \(prefers-color-scheme: dark\)\s*\{\s*:root\s*\{(.*?)\}\s*\}", re.DOTALL)
_ROOT = re.compile(r":root\s*\{(.*?)\}", re.DOTALL)


def luminance(color: str) -> float:
    """Return the relative luminance of `#rgb` or `#rrggbb`, 0 to 1.

    Source: the definition of relative luminance in WCAG 2.2 (w3c/wcag, guidelines/terms/20/relative-luminance.html).
    """
    digits = color.removeprefix("#")
    pairs = [digit * 2 for digit in digits] if len(digits) == 3 else [digits[at : at + 2] for at in (0, 2, 4)]
    channels = [int(pair, 16) / 255 for pair in pairs]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def ratio(first: str, second: str) -> float:
    """Return the contrast ratio of two colors, 1 to 21.

    Source: the definition of contrast ratio in WCAG 2.2 (w3c/wcag, guidelines/terms/20/contrast-ratio.html).
    """
    darker, lighter = sorted((luminance(first), luminance(second)))
    return (lighter + 0.05) / (darker + 0.05)


def roles(scheme: str) -> Mapping[str, str]:
    """Return every color role of the light scheme, the dark scheme or the print, as the style sheets give it."""
    ink = (STATIC / "ink.css").read_text(encoding="utf-8")
    found = {
        "light": _ROOT.search(_DARK.sub("", ink)),
        "dark": _DARK.search(ink),
        "print": _ROOT.search((STATIC / "print.css").read_text(encoding="utf-8")),
    }[scheme]
    assert found is not None, f"no block of colors for {scheme}"
    return dict(_ROLE.findall(found[1]))
