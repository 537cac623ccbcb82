"""Observing, signing off, keeping standings, closing reviews."""
