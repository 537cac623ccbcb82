"""The pages of observing."""
