"""What could make the training better without being wrong; pure, and never a reason to refuse."""
