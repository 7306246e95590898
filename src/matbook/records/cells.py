"""The XML within a workbook: shared texts, number formats, and the cells of a sheet as text.

Names, date systems and built-in formats: ECMA-376-1 (SpreadsheetML), sections 18.3.1.4, 18.8.30
and 18.17.4; from memory.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal
from functools import lru_cache
from math import isfinite
from typing import Final, NamedTuple
from xml.parsers import expat

from matbook.errors import FileRefused
from matbook.records.delimited import MOST_ROWS, Row, unprotected

MOST_CELLS: Final = 4_000_000
MOST_COLUMNS: Final = 1_000
HIDDEN: Final = "its row is hidden in the workbook"

Attributes = dict[str, str]


def parsed(
    content: bytes,
    start: Callable[[str, Attributes], None],
    end: Callable[[str, str], None],
) -> None:
    """Read XML: `start` gets each element's name and attributes, `end` its name and own text.

    Names come without their prefix. A document type is refused: entities could be anything.
    """
