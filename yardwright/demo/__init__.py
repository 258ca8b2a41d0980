"""Heron Slip: an invented yard to try things on. Nothing in the product knows it."""
