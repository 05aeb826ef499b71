"""The nouns and rules of taking off and putting back; knows no screen, clock or file."""
