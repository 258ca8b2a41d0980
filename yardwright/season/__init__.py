"""The season file: one yard as text, and every answer that needs no database."""
