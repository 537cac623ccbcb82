"""Background work: a queue in the database, progress, and workers that take up what a killed one left."""
