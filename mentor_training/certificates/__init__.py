"""Numbered, verifiable, revocable certificates."""
