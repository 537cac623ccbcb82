"""Tests of participants."""
