"""A term's story in an invented program."""
