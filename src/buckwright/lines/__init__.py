"""The lines step."""
