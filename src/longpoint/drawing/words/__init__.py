"""How sheets speak: the catalogues of both languages, and how engines' keys and numbers become sentences."""
