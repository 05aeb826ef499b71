"""Panes that draw one value each, the input line and pictures."""
