"""The history of the database's form."""
