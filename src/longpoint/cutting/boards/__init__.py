"""Boards: what is asked, the search with its bound, the certificate, the referee, and the saw."""
