"""Winter lay-up and spring commissioning for a boatyard: nothing undone is forgotten."""

PRODUCT = "Yardwright"
