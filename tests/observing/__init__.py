"""Tests of observations, readiness and sign-offs."""
