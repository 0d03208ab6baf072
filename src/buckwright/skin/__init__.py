"""The skin step."""
