"""Sizes of one machine: which blade fits, what is alike, how readings are said."""
