"""Domain: lessons, the ladder, grading, the calendar. Pure: no files, no HTML."""
