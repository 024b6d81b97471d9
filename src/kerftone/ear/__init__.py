"""Hearing: what taps on wood say in a recording.

Import from the modules: `listen` (the analysis), `heard` (what it answers).

Terms: docs/glossary.md.
"""
