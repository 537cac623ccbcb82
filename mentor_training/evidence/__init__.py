"""The dated records on which every clearance rests."""
