"""Modules read and quizzes taken."""
