"""The pages about papers."""
