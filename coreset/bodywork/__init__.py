"""Carrying, holding, hand work, energy and heat: what the lifting equation does not cover."""
