"""Several benches on one store: people, sessions, an audit trail, and long work that waits its turn."""
