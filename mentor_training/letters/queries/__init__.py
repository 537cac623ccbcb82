"""Reading what letters and reminders say."""
