"""The people the program serves: needs, keep-apart lists, cards."""
