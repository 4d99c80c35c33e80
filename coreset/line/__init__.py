"""Mold cycle and plant -> molds per hour."""
