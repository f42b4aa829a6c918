"""The course: lesson cards, players' sheets, their print, and the progress page."""
