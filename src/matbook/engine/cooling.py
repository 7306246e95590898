"""How a mat cools: the names that others rely on, in one place.

The layers and what their surface meets are in `layers`, the curve in `curve`, the solver behind it
in `conduction`; ranges are in `forecasting`, what they rest on in `spreads`, and readings that
narrow them in `reading` and `calibration`.
"""

from matbook.engine.calibration import at_odds, calibrate
from matbook.engine.curve import Curve, cool
from matbook.engine.forecasting import Forecast, Range, forecast
from matbook.engine.layers import FixedFilm, Layer, OpenSky, Surroundings, Weather
from matbook.engine.reading import Reading

__all__ = [
    "Curve",
    "FixedFilm",
    "Forecast",
    "Layer",
    "OpenSky",
    "Range",
    "Reading",
    "Surroundings",
    "Weather",
    "at_odds",
    "calibrate",
    "cool",
    "forecast",
]
