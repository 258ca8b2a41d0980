"""How fast it is, as ratios against named baselines of the same run: ``./dev bench [NAME …]``."""
