"""The pages about modules and quizzes."""
