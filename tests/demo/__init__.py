"""The demo: told once, and held to what its story says."""
