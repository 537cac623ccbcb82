"""Column types that keep what the two databases would lose."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from typing import Annotated, Any

from sqlalchemy import DateTime, Dialect, String, Text
from sqlalchemy.orm import mapped_column
from sqlalchemy.types import TypeDecorator


class UtcDateTime(TypeDecorator[datetime]):
    """A moment. SQLite drops the zone silently, so a naive value is refused and UTC is put back on reading."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Store in UTC; a moment with no zone is a mistake in the program."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a moment needs a time zone")
        return value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Read as UTC."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class WordList(TypeDecorator[tuple[str, ...]]):
    """Codes or slugs in their order, joined by semicolons."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: tuple[str, ...] | None, dialect: Dialect) -> str:
        """Join; a word never holds the separator."""
        return ";".join(value or ())

    def process_result_value(self, value: str | None, dialect: Dialect) -> tuple[str, ...]:
        """Split; an empty text is no words."""
        return tuple(value.split(";")) if value else ()


class JsonText(TypeDecorator[Any]):
    """A JSON value kept as text, the same on both databases."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: Any, dialect: Dialect) -> str:
        """Write it compactly with sorted keys."""
        return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)

    def process_result_value(self, value: str | None, dialect: Dialect) -> Any:
        """Read it back."""
        return None if value is None else json.loads(value)


Code = Annotated[str, mapped_column(String(80))]
Slug = Annotated[str, mapped_column(String(80))]
Words = Annotated[tuple[str, ...], mapped_column(WordList, default=())]
Moment = Annotated[datetime, mapped_column(UtcDateTime)]
MaybeMoment = Annotated[datetime | None, mapped_column(UtcDateTime)]
Day = Annotated[date, mapped_column()]
Json = Annotated[Any, mapped_column(JsonText)]
LongText = Annotated[str, mapped_column(Text, default="")]
