"""How a mat cools: the names that others rely on, in one place.

The layers and what their surface meets are in `layers`, the curve in `curve`, the solver behind it
in `conduction`, and ranges with readings in `forecasting`.
"""

from matbook.engine.curve import Curve, cool
from matbook.engine.forecasting import Forecast, Range, Reading, at_odds, calibrate, forecast
from matbook.engine.layers import FixedFilm, Layer, OpenSky, Surroundings, Weather

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
