"""The capture step."""
