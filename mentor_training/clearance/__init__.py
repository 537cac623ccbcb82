"""Who may work where, with whom, on which day, and why not."""
