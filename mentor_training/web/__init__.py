"""What every page shares: templates, forms, protection, display."""
