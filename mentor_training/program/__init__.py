"""The program's definition: its files, what they mean, and their published editions."""
