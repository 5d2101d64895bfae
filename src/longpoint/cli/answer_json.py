"""An answer in JSON, on any terminal."""

from __future__ import annotations

import json
import re
import sys
from typing import Any


def say_json(answer: Any) -> None:
    """Prints an answer as JSON.

    Args:
        answer: Plain values, or a text that is JSON already.
    """
    text = answer if isinstance(answer, str) else json.dumps(answer, ensure_ascii=False, indent=1)
    if not (sys.stdout.encoding or "").lower().startswith("utf"):
        text = re.sub(r"[^\x00-\x7f]", lambda sign: json.dumps(sign[0])[1:-1], text)
    sys.stdout.write(f"{text.rstrip()}\n")
