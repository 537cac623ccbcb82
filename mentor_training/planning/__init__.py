"""Who is where with whom in each block of a session, and the day itself."""
