"""The people step."""
