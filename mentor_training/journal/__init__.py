"""The append-only, hash-chained record of everything that was decided."""
