"""The vibration model of a drum: the only room that knows the finite-element library.

Terms: docs/glossary.md.
"""
