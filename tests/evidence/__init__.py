"""Tests of evidence."""
