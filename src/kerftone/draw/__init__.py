"""Drawings in millimetres, one writer a format, and the report page.

Import from the modules: `sheet` and `svg`, `layout`, `mode_picture`, `report`.

Terms: docs/glossary.md.
"""
