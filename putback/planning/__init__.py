"""The optimiser: needs, orders, openings and sessions of numbered jobs. It knows no machine."""
