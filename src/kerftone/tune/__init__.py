"""Tuning: lengths for notes, places for tongues, and how sure the answer is.

Terms: docs/glossary.md.
"""
