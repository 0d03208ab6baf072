"""The files step."""
