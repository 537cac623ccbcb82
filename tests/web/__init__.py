"""Checks of how the program shows itself."""
