"""Tests of reading modules and taking quizzes."""
