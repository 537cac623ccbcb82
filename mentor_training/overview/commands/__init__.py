"""The commands about several capabilities at once."""
