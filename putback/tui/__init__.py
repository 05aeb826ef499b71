"""The screens: the one room that knows Textual."""
