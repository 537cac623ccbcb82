"""The whole set of evidence as one CSV, in and out."""
