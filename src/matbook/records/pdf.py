"""PDF files: set from plain data, with files inside, signed, and checked.

A file made here is PDF/A-3a and PDF/UA-1: it can be kept for decades, and read aloud. What people
typed reaches the typesetter as JSON only, so nothing typed can become markup.
"""

from typing import Final

import typst

STANDARDS: Final[list[typst.PDFStandard]] = ["a-3a", "ua-1"]
MAIN: Final = """\
#include "template.typ"
#for it in json("attached.json") {
  pdf.attach(it.name, read(it.file, encoding: none), relationship: it.relationship,
    mime-type: it.mime, description: it.description)
}
"""
