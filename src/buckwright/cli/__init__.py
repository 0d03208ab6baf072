"""The cli step."""
