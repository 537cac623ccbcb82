"""The pages of hours."""
