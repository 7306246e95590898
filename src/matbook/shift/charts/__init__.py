"""Charts of a shift: own SVG by one renderer, for screen and print, all text escaped."""
