"""Tests of the program's definition: reading it, its requirement language, its editions."""
