"""How far observers agree on the same performances: coefficients, their intervals, and what they say; pure."""
