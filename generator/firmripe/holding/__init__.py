"""What the household has, as frozen values: no files, no dates worked out."""
