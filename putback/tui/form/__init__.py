"""The taking-off form: a pure machine of keys, and the pane that shows it."""
