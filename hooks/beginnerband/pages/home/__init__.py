"""The home page's blocks."""
