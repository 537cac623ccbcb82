"""The declarative base every table builds on, with named constraints."""

from __future__ import annotations

from typing import cast

from sqlalchemy import MetaData, Table
from sqlalchemy.orm import DeclarativeBase

NAMES = {
    "ix": "ix_%(column_0_label)s",
    "uq": "uq_%(table_name)s_%(column_0_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}


class Base(DeclarativeBase):
    """All tables share this metadata, so that one migration history holds them all."""

    metadata = MetaData(naming_convention=NAMES)


def table_of(kind: type[Base]) -> Table:
    """Return the bare table, for statements that are run as they are (`session.run`)."""
    return cast(Table, kind.__table__)
