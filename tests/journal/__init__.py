"""Tests of the journal: the chain, reading it, proving it."""
