"""Content: load and validate what stands in ``content/``; every problem has a file and a line."""
