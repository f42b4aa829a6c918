"""Room: this band's people. The plan and all that follows from it (leader's own copy alone), and the form to set up."""
