"""The rules of reading modules and taking quizzes."""
