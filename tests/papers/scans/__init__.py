"""Tests of what is sent as a picture of a paper."""
