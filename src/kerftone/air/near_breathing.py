"""When a note lies on the breathing of its box and is touched by it. Loads nothing, for words ask it of kept
answers."""

NEAR = 0.08
"""Nearer to the breathing than this share a note is loud, sooner gone and not sure: with finite elements of wood and
air one 9 % off had a Q of 500, one on it 64."""
AFFECTED_Q = 1000.0
"""A note that loses less than this to sound hardly pushes any air in all, and lies near the breathing unharmed: the
wood alone leaves a tenth of it. Own judgement."""
