"""Tests of the program; they mirror the package, and `python3 -m tests` runs them all."""
