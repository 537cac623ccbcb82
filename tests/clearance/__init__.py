"""Tests of clearance."""
