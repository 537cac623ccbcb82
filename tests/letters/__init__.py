"""Tests of letters and mail."""
