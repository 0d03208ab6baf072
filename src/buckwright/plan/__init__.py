"""The plan step."""
