"""The pages about clearance."""
