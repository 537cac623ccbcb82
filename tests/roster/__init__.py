"""Tests of the roster exchange."""
