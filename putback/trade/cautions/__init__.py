"""The usual cautions: the words that call them up, and when they are said."""
