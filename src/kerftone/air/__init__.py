"""The air in and round a drum: how it moves the notes, and how loud they are. SI inside; terms in docs/glossary.md.

Uses `modal` and below. `in_air` and `tongues_in_air` (in `answer.py`) are the door.
"""
