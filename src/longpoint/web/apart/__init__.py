"""Programs that run beside the server, each with limits of time and memory, and end with it."""
