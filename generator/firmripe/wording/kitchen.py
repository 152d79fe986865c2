"""What the kitchen remarks, in words."""
