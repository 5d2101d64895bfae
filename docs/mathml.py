"""Formulas typeset as MathML while the pages are built: browsers draw them, nothing is loaded from anywhere."""

from __future__ import annotations

from typing import Any

from docutils import nodes
from latex2mathml.converter import convert
from sphinx.application import Sphinx


def _inline(writer: Any, node: nodes.Element) -> None:
    writer.body.append(convert(node.astext()))
    raise nodes.SkipNode


def _display(writer: Any, node: nodes.Element) -> None:
    writer.body.append(f'<div class="math">{convert(node.astext(), display="block")}</div>')
    raise nodes.SkipNode


def setup(app: Sphinx) -> dict[str, bool]:
    """Registers the renderer."""
    app.add_html_math_renderer("mathml", (_inline, None), (_display, None))
    return {"parallel_read_safe": True, "parallel_write_safe": True}
