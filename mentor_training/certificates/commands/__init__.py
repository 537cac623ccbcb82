"""Certificates on the command line."""
