"""Classes and students in from the registrar, results out: OneRoster 1.2 CSV."""
