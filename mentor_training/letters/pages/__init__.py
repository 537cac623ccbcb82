"""The pages of letters."""
