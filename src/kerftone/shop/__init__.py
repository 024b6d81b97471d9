"""The shop: parts and joints, boards, order of work, checks, moving wood, pickup.

Terms: docs/glossary.md.
"""
