"""Where the kept drawings come from: solids, posed and looked at from a side. Not part of the build; see remake.py."""
