"""Lines from sensors become readings, are kept, and are watched while an engine runs on a hose."""
