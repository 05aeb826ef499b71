"""Session files played as keys, as a person would press them."""
