"""Pages that show several capabilities at once."""
