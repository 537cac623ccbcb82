"""Tests of making an instance, keeping it, and reading its settings."""
