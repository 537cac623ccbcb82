"""From the bytes that came in to what is kept: by its content, never by its name."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from mentor_training.errors import Refused
from mentor_training.papers.scans.documents import plain_document
from mentor_training.papers.scans.kinds import JPEG, PDF, fault_of, kind_of
from mentor_training.papers.scans.pictures import plain_picture


@dataclass(frozen=True)
class PlainScan:
    """A picture (JPEG) or PDF as it will be kept: nothing in it runs, and nothing beside what it shows is there."""

    data: bytes
    kind: str
    pages: int

    @property
    def sha256(self) -> str:
        """Return by what it is known in the table and in the journal, also when it is gone."""
        return hashlib.sha256(self.data).hexdigest()


def read_scan(data: bytes) -> PlainScan:
    """Return what is kept of a file, or refuse it with the reason and what to do instead."""
    fault = fault_of(data)
    if fault:
        raise Refused(fault)
    if kind_of(data) == PDF:
        plain, pages = plain_document(data)
        return PlainScan(plain, PDF, pages)
    return PlainScan(plain_picture(data), JPEG, 1)
