"""Sessions of the program and their blocks."""
