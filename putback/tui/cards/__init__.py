"""The cards of one bag, part, step or thing, with its photos, and what is said right there."""
