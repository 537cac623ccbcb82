"""The pages about sessions, their plans, the day itself, and a volunteer's own pairing."""
