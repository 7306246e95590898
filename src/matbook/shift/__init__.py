"""The fold: entries -> facts -> the state of a shift at a given moment."""
