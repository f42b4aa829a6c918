"""Content: what each page shows, as plain values, computed from the domain."""
