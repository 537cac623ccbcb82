"""Tests of real pages in a real browser."""
