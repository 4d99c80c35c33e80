"""Published tables as printed, with their source and status."""
