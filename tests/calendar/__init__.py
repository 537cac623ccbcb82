"""Tests of calendar."""
