"""The command."""
