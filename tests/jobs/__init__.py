"""The room of background work."""
