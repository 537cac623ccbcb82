"""Accounts, roles, the one table of who may do what, signing in."""
