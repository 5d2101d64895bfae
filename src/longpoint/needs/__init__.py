"""What the works of a batch need together: boards cut, cloth laid, what a person should know of it."""
