"""The look-up: what is written, how to play it and what sounds, with and without script."""
