"""The guide: its pages' blocks, tables, glossary, sources and the path through troubles."""
