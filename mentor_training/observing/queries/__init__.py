"""Reading observations, sign-offs, standings and reviews."""
