"""Tests of papers on file."""
