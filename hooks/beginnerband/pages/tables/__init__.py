"""Tables of transposition, keys, fingerings, ranges and the slide, and the same as data for others."""
