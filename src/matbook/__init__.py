"""Matbook: the asphalt paving inspector's book, from the first ticket to a signed daily record."""

__version__ = "0.1.0"
