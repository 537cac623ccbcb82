"""Sessions and plans on the command line."""
