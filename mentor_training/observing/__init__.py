"""Observations on the floor and sign-offs that rest on them."""
