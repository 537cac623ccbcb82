"""What changes a plan and the day itself; everything that decides is checked again inside the storing transaction."""
