"""Kerftone: wooden tongue drums, from the notes wanted to tongue lengths, sound and templates."""

__version__ = "0.1.0"
