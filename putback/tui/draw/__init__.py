"""Pure drawings: plain data in, rows of Content out. No widget, no clock, no state."""
