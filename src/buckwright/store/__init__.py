"""The store step."""
