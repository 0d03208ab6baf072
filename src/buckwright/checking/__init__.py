"""The checking step."""
