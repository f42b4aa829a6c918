"""Domain: learners and instruments; who plays what, who is covered, where they sit, when they meet. No files."""
