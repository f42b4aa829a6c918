"""Output: HTML templates, staff pictures, engraving, print, offline files."""
