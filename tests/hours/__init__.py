"""Hours, statements."""
