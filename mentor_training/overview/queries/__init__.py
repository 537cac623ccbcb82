"""Gathering from several capabilities what one page shows."""
