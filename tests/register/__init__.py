"""Tests of the register: everything in and out as one CSV."""
