"""Share and carry: the take-away files' page, the pocket page, and what tells a phone it is saved."""
