"""Make a slug for what its author has not named."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection
from itertools import count

LONGEST = 60


def made_slug(text: str, otherwise: str, taken: Collection[str] = ()) -> str:
    """Return a text's letters and digits as a slug of at most 60 characters; where it is taken, with -2, -3 behind it.

    A text that holds none of them becomes `otherwise`. Accents and apostrophes are left out.
    """
    bare = unicodedata.normalize("NFKD", re.sub("['\u2019]", "", text)).encode("ascii", "ignore").decode()
    slug = re.sub(r"[^a-z0-9]+", "-", bare.lower()).strip("-")[:LONGEST].rstrip("-") or otherwise
    if slug not in taken:
        return slug
    return next(one for number in count(2) if (one := f"{slug}-{number}") not in taken)
