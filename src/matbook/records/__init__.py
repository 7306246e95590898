"""Records: what leaves the book for people to read, keep, compute with, and check."""
