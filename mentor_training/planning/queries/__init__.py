"""Reading plans, who came, and who is paired with whom."""
