"""The panels step."""
