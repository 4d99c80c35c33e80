"""Savings and costs -> cash flow and its measures."""
