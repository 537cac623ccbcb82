"""What happened: a term of the program, told through the program's own actions, chapter by chapter."""
