"""Certificates."""
