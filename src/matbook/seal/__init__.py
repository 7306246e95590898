"""Signatures: keys, seals over a shift, and the form in which a signed file carries them."""
