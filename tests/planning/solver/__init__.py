"""The solver: what it prefers, what it proves, and that it breaks no rule."""
