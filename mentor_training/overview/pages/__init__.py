"""Pages that show several capabilities at once: the way in, my path, today, the journal."""
