"""Pieces in parts: who plays what, scores, parts and the concert."""
