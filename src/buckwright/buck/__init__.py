"""The buck step."""
