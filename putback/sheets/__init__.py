"""Printed sheets between sessions: what is to be made, what goes in a parcel, what has to be got."""
