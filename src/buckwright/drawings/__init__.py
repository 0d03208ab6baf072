"""The drawings step."""
