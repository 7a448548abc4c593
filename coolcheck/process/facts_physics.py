"""Facts worked out by physics."""
