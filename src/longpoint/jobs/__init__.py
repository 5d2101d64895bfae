"""One function per wish; the only room that knows all the others below it."""
