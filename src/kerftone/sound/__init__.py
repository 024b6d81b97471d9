"""A preview of the drum's sound from its computed modes: the mallet, the strike, the decay, the air.

Import from the modules: `mallet`, `decay`, `strike`, `score`, `render`, `wav`.

Terms: docs/glossary.md.
"""
