"""Domain: pitches, readings, instruments, acoustics, transposition, scores. Pure: no files, no HTML."""
