"""The page: a drum designed, heard and planned in a browser on the maker's own computer.

A face over `kerftone.jobs`, beside the command line: a small server on the loopback address (`serve`, `site`), plain
pages (`templates/`), and modules that the browser runs as they are written (`static/`). One process of its own solves
(`solver`, `worker`), so the server never waits. `drum.toml` stays the truth (`open_drum`). Terms: docs/glossary.md.
"""
