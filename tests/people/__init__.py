"""Tests of accounts, roles and signing in."""
