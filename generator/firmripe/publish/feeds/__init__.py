"""Calendar feeds: what stands in them, how it is written, and which files there are."""
