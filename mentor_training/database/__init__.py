"""The database: engines, sessions, column types, migrations."""
