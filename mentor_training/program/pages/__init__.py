"""The pages about the program's definition: what is in force, and publishing."""
