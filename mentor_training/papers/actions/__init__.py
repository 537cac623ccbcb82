"""Putting papers on file, deciding on them, and keeping their scans for as long as the program says."""
