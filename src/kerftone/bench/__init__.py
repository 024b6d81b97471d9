"""The log of one drum at the bench, and what the drum has become by it.

Terms: docs/glossary.md.
"""
