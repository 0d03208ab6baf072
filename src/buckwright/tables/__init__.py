"""Stock, alloys, anthropometry: data with their sources."""
