"""Which lines of a Markdown text are code and no prose; pure."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

_FENCE = re.compile(r"\s{0,3}(```|~~~)")


def outside_fences(lines: Iterable[str]) -> Iterator[tuple[str, bool]]:
    """Yield each line with whether it is prose: neither within fenced code nor the fence itself.

    A fence of three backticks or tildes is closed by one of its own kind, or by the end of the text.
    """
    fence = ""
    for line in lines:
        found = _FENCE.match(line)
        if found and fence in ("", found.group(1)):
            fence = "" if fence else found.group(1)
            yield line, False
        else:
            yield line, not fence
