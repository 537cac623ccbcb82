"""Tests of the pages that show several capabilities: the way in, my path, today, the journal."""
