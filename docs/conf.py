"""Settings of the documentation."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

project = "longpoint"
author = "the longpoint developers"
copyright = "the longpoint developers, Apache-2.0"  # noqa: A001
extensions = ["myst_parser", "mathml"]
html_math_renderer = "mathml"
myst_enable_extensions = ["dollarmath", "colon_fence"]
myst_heading_anchors = 3
exclude_patterns = ["_build"]
html_theme = "furo"
html_title = "longpoint"
suppress_warnings = ["myst.xref_missing"]
