"""Settings of the documentation."""

import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))
# The sheets that pages show are drawn by the program as it is.
subprocess.run([sys.executable, str(HERE.parent / "tools" / "docs_pictures.py")], check=True)

project = "longpoint"
author = "the longpoint developers"
copyright = "the longpoint developers, Apache-2.0"  # noqa: A001
extensions = ["myst_parser", "mathml"]
html_math_renderer = "mathml"
myst_enable_extensions = ["dollarmath", "colon_fence"]
myst_heading_anchors = 3
exclude_patterns = ["_build", "made/*.md"]
html_theme = "furo"
html_title = "longpoint"
html_static_path = ["_static"]
html_css_files = ["pages.css"]
suppress_warnings = ["myst.xref_missing"]
