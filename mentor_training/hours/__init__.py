"""Hours served: entries, approval, statements."""
