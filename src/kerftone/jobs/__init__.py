"""What a maker asks for, one module each: the floor between what is known and the faces that show it.

A job is a function: a frozen request in, a frozen result out, with a `Progress` that is told what is being done and
can tell the job to stop. A result's `document()` is what a script reads. Nothing here prints, reads options or knows
a terminal; a refusal carries remedies (`kerftone.errors.Remedy`), which each face words in its own way.

Terms: docs/glossary.md.
"""
