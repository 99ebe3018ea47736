"""What is printed over the first bar of a section (common practice, no source)."""

from __future__ import annotations

import re

SECTION_WORD = re.compile(r"\W*(trio|maggiore|minore|alternativo|coda)\b", re.I)
"""Headings of a middle section or an ending; match from the beginning."""
