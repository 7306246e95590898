"""Keeping books: entries as they were written, and the attachments they name.

`contract` says what every store does; `sqlite.open_store` opens the one in a file, `memory` is its
twin without a file. Nothing is imported here, so that a process that only checks entries starts
quickly.
"""
