"""Tests of what is stored, on SQLite and PostgreSQL, with several processes at once."""
