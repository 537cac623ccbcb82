"""The commands about clearance."""
