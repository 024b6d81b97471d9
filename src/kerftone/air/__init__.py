"""The air in and round a drum: how it moves the notes, and how loud they are. SI inside.

Uses `modal` and below. `coupled_air` (in `answer.py`) is the door.
"""
