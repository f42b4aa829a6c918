"""A page an instrument, and what moving between two of them changes."""
