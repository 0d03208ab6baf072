"""Mathematics on arrays: no trade word, no model, no file."""
