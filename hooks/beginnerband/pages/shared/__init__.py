"""What several rooms use: readers, tables, charts, links, words, and the scripts and styles of every page."""
