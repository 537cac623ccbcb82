"""Letters: hours years later, the mid-term note, and reminders by mail."""
