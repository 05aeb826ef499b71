"""Pictures: paired with steps by their time, filed, made small, and looked through for codes."""
