"""Papers put on file and verified."""
