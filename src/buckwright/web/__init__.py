"""The web step."""
