"""How fast it is, as ratios to a bare reference measured in the same run."""
